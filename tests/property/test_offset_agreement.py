"""Offsets with arcs against two independent programs on the flattened outline.

shapely (GEOS) and pyclipr (Clipper2) offset polygons; the outline is flattened at 3 % of the
distance, for finer flattening makes one of them wrong. Round joins for random outlines; away from
mitre tips for the catalogue.
"""

from __future__ import annotations

import importlib.util
import math
from pathlib import Path

import pyclipr
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.measure import flattened
from geometry.model.outline import Outline
from geometry.offset.corners import Corners
from geometry.offset.outline import OffsetResult, offset_outline
from geometry.shapes.catalogue import CATALOGUE
from geometry.validate import require_simple

_spec = importlib.util.spec_from_file_location(
    "strategies", Path(__file__).with_name("strategies.py")
)
assert _spec is not None
assert _spec.loader is not None
strategies = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(strategies)

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
    points = []
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
    worker = pyclipr.ClipperOffset()
    worker.scaleFactor = 100_000
    # In scaled units: a fifth of the agreement.
    worker.arcTolerance = AGREEMENT / 5 * worker.scaleFactor
    worker.addPath(
        list(source.exterior.coords)[:-1], pyclipr.JoinType.Round, pyclipr.EndType.Polygon
    )
    paths = [shapely.Polygon(path) for path in worker.execute(by) if len(path) > 2]
    outer = [p for p in paths if shapely.is_ccw(p.exterior)]
    holes = [p for p in paths if not shapely.is_ccw(p.exterior)]
    whole = shapely.union_all(outer)
    return whole.difference(shapely.union_all(holes)) if holes else whole


def assert_agrees(outline: Outline, by: float) -> None:
    found = region(offset_outline(outline, by, corners=ROUND))
    # Chords stand off an arc by spacing^2 / 8 r: at 3 % of the distance far below the agreement
    # for any arc that is left.
    source = polygon(outline, max(0.02, 0.03 * abs(by)))
    for wanted in (source.buffer(by, quad_segs=64), by_clipper(source, by)):
        least = min((ring.area for ring in shapely.get_parts(wanted)), default=0.0)
        if wanted.is_empty or found.is_empty or least < 0.05 * abs(by):
            # A part about to vanish may be there in one and not in the other.
            assert found.symmetric_difference(wanted).area <= 0.05 * abs(by) * outline_length(
                outline
            )
            continue
        off = shapely.hausdorff_distance(found.boundary, wanted.boundary, densify=0.5)
        assert off <= AGREEMENT, (off, wanted.geom_type)


def outline_length(outline: Outline) -> float:
    return sum(part.length for part in outline.segments)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(outlines_with_arcs(), st.floats(2.0, 12.0))
def test_random_outlines_moved_out(outline: Outline, by: float) -> None:
    assert_agrees(outline, by)


@pytest.mark.long
@pytest.mark.timeout(3000)
@settings(max_examples=2000, deadline=None)
@given(outlines_with_arcs(), st.floats(2.0, 12.0))
def test_two_thousand_random_outlines_moved_out(outline: Outline, by: float) -> None:
    assert_agrees(outline, by)


@pytest.mark.parametrize("kind", sorted(CATALOGUE))
def test_the_catalogue_at_twenty_sizes(kind: str) -> None:
    for step in range(20):
        outline = strategies.example(kind, 0.4 + 0.13 * step)
        assert_agrees(outline, 6.35 if step % 2 else 3.0)


@settings(max_examples=60, deadline=None, derandomize=True)
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
