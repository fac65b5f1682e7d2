"""Offsets with arcs against two independent programs on the flattened outline.

shapely (GEOS) and clipper2 (Clipper2) offset polygons; the outline is flattened at 3 % of the
distance, for finer flattening makes one of them wrong. Round joins throughout: mitres and square
cuts are held against half-planes in test_offset_corners.
"""

from __future__ import annotations

import math

import clipper2
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.errors import AllowanceError, GeometryError
from geometry.measure import flattened
from geometry.model.outline import Outline, Region
from geometry.model.segments import Arc
from geometry.offset.allowance import make_patch
from geometry.offset.corners import Corners
from geometry.offset.outline import OffsetResult, offset_outline, offset_region
from geometry.shapes.catalogue import CATALOGUE
from geometry.validate import require_simple
from tests.property import strategies
from tests.short_form import SHAPES, short_form

ROUND = Corners("round")
#: Agreement asked for, mm.
AGREEMENT = 0.005


@st.composite
def outlines_with_arcs(draw: st.DrawFn) -> Outline:
    """Draw a simple outline about the origin, its sides lines and arcs at random."""
    count = draw(st.integers(3, 10))
    reaches = draw(st.lists(st.floats(15, 60), min_size=count, max_size=count))
    bulges = draw(
        st.lists(
            st.one_of(st.just(0.0), st.floats(-0.6, -0.05), st.floats(0.05, 0.9)),
            min_size=count,
            max_size=count,
        )
    )
    rows = [
        (r * math.cos(math.tau * k / count), r * math.sin(math.tau * k / count), b)
        for k, (r, b) in enumerate(zip(reaches, bulges, strict=True))
    ]
    try:
        return require_simple(Outline.of(rows))
    except GeometryError:
        assume(False)
        raise


def polygon(outline: Outline, spacing: float) -> shapely.Polygon:
    points: list[tuple[float, float]] = []
    for part in outline.segments:
        count = max(1, math.ceil(part.length / spacing)) if part.bulge else 1
        points.extend(part.point_at(k / count) for k in range(count))
    return shapely.Polygon(points)


def region(result: OffsetResult) -> shapely.Geometry:
    rings = [shapely.Polygon(flattened(ring, 5e-4)) for ring in result.outlines]
    whole = shapely.union_all(rings)
    for hole in result.holes:
        whole = whole.difference(shapely.Polygon(flattened(hole, 5e-4)))
    return whole


def by_clipper(source: shapely.Polygon, by: float) -> shapely.Geometry:
    found = clipper2.inflate_paths(
        [list(source.exterior.coords)[:-1]],
        by,
        clipper2.JoinType.ROUND,
        clipper2.EndType.POLYGON,
        precision=5,
        arc_tolerance=AGREEMENT / 5,
    )
    paths = [shapely.Polygon(path) for path in found if len(path) > 2]
    outer = [p for p in paths if shapely.is_ccw(p.exterior)]
    holes = [p for p in paths if not shapely.is_ccw(p.exterior)]
    whole = shapely.union_all(outer)
    return whole.difference(shapely.union_all(holes)) if holes else whole


def moved(source: shapely.Polygon, by: float) -> list[shapely.Geometry]:
    """Return a polygon without holes moved by both other programs, round where it opens."""
    return [source.buffer(by, quad_segs=64), by_clipper(source, by)]


def assert_agrees(outline: Outline, by: float) -> None:
    found = region(offset_outline(outline, by, corners=ROUND))
    # Chords stand off an arc by spacing^2 / 8 r: at 3 % of the distance far below the agreement
    # for any arc that is left.
    source = polygon(outline, max(0.02, 0.03 * abs(by)))
    for wanted in moved(source, by):
        assert_same(found, wanted, abs(by), outline_length(outline))


def assert_same(
    found: shapely.Geometry, wanted: shapely.Geometry, by: float, length: float
) -> None:
    least = min((ring.area for ring in shapely.get_parts(wanted)), default=0.0)
    if wanted.is_empty or found.is_empty or least < 0.05 * by:
        # A part about to vanish may be there in one and not in the other.
        assert found.symmetric_difference(wanted).area <= 0.05 * by * length
        return
    for one, other in ((found.boundary, wanted.boundary), (wanted.boundary, found.boundary)):
        points = shapely.points(shapely.get_coordinates(shapely.segmentize(one, 0.5)))
        shapely.prepare(other)
        near = shapely.dwithin(other, points, AGREEMENT)
        assert near.all(), points[~near][:5]


def outline_length(outline: Outline) -> float:
    return sum(part.length for part in outline.segments)


@settings(max_examples=8, deadline=None, derandomize=True)
@given(outlines_with_arcs(), st.floats(2.0, 12.0))
def test_random_outlines_moved_out(outline: Outline, by: float) -> None:
    assert_agrees(outline, by)


@pytest.mark.long
@pytest.mark.timeout(3000)
@settings(max_examples=2000, deadline=None)
@given(outlines_with_arcs(), st.floats(2.0, 12.0))
def test_two_thousand_random_outlines_moved_out(outline: Outline, by: float) -> None:
    assert_agrees(outline, by)


@pytest.mark.parametrize("kind", short_form(sorted(CATALOGUE), SHAPES))
def test_the_catalogue_at_twenty_sizes(kind: str) -> None:
    for step in range(20):
        outline = strategies.example(kind, 0.4 + 0.13 * step)
        assert_agrees(outline, 6.35 if step % 2 else 3.0)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(outlines_with_arcs(), st.floats(-6.0, 9.0), st.sampled_from(["mitre", "round", "blunt"]))
def test_no_more_vertices_than_needed(outline: Outline, by: float, kind: str) -> None:
    """Neighbours are never one line or one circle."""
    result = offset_outline(outline, by, corners=Corners(kind))
    for ring in (*result.outlines, *result.holes):
        require_simple(ring)
        for before, after in zip(ring.segments, ring.segments[1:], strict=False):
            turn = math.remainder(after.start_heading - before.end_heading, math.tau)
            if abs(turn) < 1e-9:
                assert (
                    bool(before.bulge) != bool(after.bulge)
                    or not math.isclose(
                        getattr(before, "radius", 0.0), getattr(after, "radius", 1.0), rel_tol=1e-9
                    )
                    or abs(before.bulge) + abs(after.bulge) > 1.0
                )


@settings(max_examples=12, deadline=None, derandomize=True)
@given(outlines_with_arcs(), st.floats(1.0, 9.0))
def test_random_outlines_moved_in(outline: Outline, by: float) -> None:
    """What is left of an outline is what is nowhere nearer its edge than the distance."""
    found = region(offset_outline(outline, -by, corners=ROUND))
    source = polygon(outline, 0.1)
    for wanted in moved(source, -by):
        assert_same(found, wanted, by, outline_length(outline))


@settings(max_examples=20, deadline=None, derandomize=True)
@given(outlines_with_arcs(), st.floats(2.0, 9.0))
def test_random_patches_or_the_largest_allowance_that_works(outline: Outline, by: float) -> None:
    """A patch is the offset that loses nothing; past that the largest is reported, and works."""
    try:
        patch = make_patch(outline, by, corners=ROUND)
    except AllowanceError as error:
        assert error.largest is not None
        assert error.largest < by
        patch = make_patch(outline, error.largest, corners=ROUND)
        with pytest.raises(AllowanceError):
            make_patch(outline, error.largest * 1.001 + 0.002, corners=ROUND)
        by = error.largest
    source = polygon(outline, max(0.02, 0.03 * by))
    for wanted in moved(source, by):
        assert_same(
            shapely.Polygon(flattened(patch.outline, 5e-4)), wanted, by, outline_length(outline)
        )


@pytest.mark.parametrize("kind", short_form(sorted(CATALOGUE), SHAPES))
def test_catalogue_patches_at_twenty_sizes(kind: str) -> None:
    """The patch itself, with round corners; hollow arcs that are used up are refused."""
    for step in range(20):
        outline = strategies.example(kind, 0.4 + 0.13 * step)
        by = 6.35 if step % 2 else 3.0
        hollow = [p.radius for p in outline.segments if isinstance(p, Arc) and p.bulge < 0.0]
        if hollow and min(hollow) <= by:
            with pytest.raises(AllowanceError):
                make_patch(outline, by, corners=ROUND)
            continue
        patch = shapely.Polygon(flattened(make_patch(outline, by, corners=ROUND).outline, 5e-4))
        for wanted in moved(polygon(outline, max(0.02, 0.03 * by)), by):
            assert_same(patch, wanted, by, outline_length(outline))


@pytest.mark.parametrize("by", [-9.0, -6.0, -2.0, 1.5, 4.0, 8.0])
@pytest.mark.parametrize(("size", "away"), [(3.0, 4.0), (6.0, 4.0), (6.0, 12.0), (6.0, 25.0)])
def test_holes_move_the_other_way(size: float, away: float, by: float) -> None:
    """The region is the outer outline moved, less the holes moved, wherever they then meet."""
    outline = Outline.of([(-40, -30), (40, -30, 0.4), (40, 30), (0, 30, -0.3), (-40, 30)])
    holes = (
        Outline.of([(away + size, 0, 1), (away - size, 0, 1)]),
        Outline.of([(-8, -3), (-3, -3), (-3, 2), (-5, 0), (-8, 2)]),
    )
    found = region(offset_region(Region(outline, holes), by, corners=ROUND))
    wanted = polygon(outline, 0.1).buffer(by, quad_segs=64)
    for hole in holes:
        wanted = wanted.difference(polygon(hole, 0.1).buffer(-by, quad_segs=64))
    assert_same(found, wanted, abs(by), outline_length(outline))


@pytest.mark.parametrize(("by", "radius"), [(-2.9, 0.1), (-3.0, None), (-4.0, None), (-8.0, None)])
def test_nothing_is_left_of_a_circle_moved_past_its_centre(by: float, radius: float | None) -> None:
    result = offset_outline(Outline.of([(3, 0, 1), (-3, 0, 1)]), by)
    if radius is None:
        assert result.outlines == ()
        assert result.events == ("nothing is left",)
    else:
        assert result.outlines[0].bounds.width == pytest.approx(2 * radius)


def test_corners_too_flat_to_cut_are_no_edges() -> None:
    """A line all but tangent to an arc joins it without an edge shorter than any that can be."""
    for turn in (1e-6, 1e-5, 1e-4, 1e-3):
        base = -40.0 * math.tan(turn)
        outline = Outline.of([(-40, base), (0, 0, 0.5), (0, 30), (-40, 30)])
        bulge = math.tan(turn / 2)
        tilted = Outline.of([(-40, 0), (0, 0, 0.4), (20, 20 + bulge), (-40, 30)])
        for ring in (outline, tilted):
            for kind in ("mitre", "round", "blunt"):
                patch = make_patch(ring, 0.5, corners=Corners(kind))
                require_simple(patch.outline)


def test_a_patch_may_have_more_edges_than_a_template_may() -> None:
    count = 4000
    outline = Outline.of(
        [
            (r * math.cos(math.tau * k / count), r * math.sin(math.tau * k / count))
            for k in range(count)
            for r in [5000.0 if k % 2 else 4999.0]
        ]
    )
    assert len(make_patch(outline, 0.5, corners=ROUND).outline.vertices) > 5000
