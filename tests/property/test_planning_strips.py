"""Fabric by strips against areas and against the pieces themselves, laid by an outside library."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations, pairwise

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box

from geometry.measure import flattened
from geometry.model.outline import Outline
from geometry.offset.allowance import make_patch
from geometry.planning.assembly import assemble
from geometry.planning.cloth import Cut, Fabric
from geometry.planning.frames import Edge
from geometry.planning.pieces import needs
from geometry.planning.strips import laid_in_strip, strip_patterns
from geometry.planning.tilings import TILINGS
from geometry.planning.triangles import shared_rectangle
from geometry.planning.yardage import Rows, yardage
from geometry.shapes.catalogue import build

#: The machine may be busy: nothing here is timed.
BUSY = settings(
    deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
INCH = 25.4
RULER = INCH / 16
#: As a tiling names its lengths; each is drawn in a range of inches.
SIZES = {"side": (1, 5), "width": (2, 6), "height": (2, 6), "length": (2, 6)}
#: More than the area, at most, of shapes that fill strips.
MOST = 1.35


def _polygon(outline: Outline) -> Polygon:
    return Polygon(flattened(outline, 0.01))


def _fills_strips(patch: Outline) -> bool:
    """Return whether a piece is a triangle, or has four sides of which two are parallel."""
    if patch.has_arcs or len(patch.vertices) > 4:
        return False
    if len(patch.vertices) == 3:
        return True
    sides = [(e.end.x - e.start.x, e.end.y - e.start.y) for e in patch.segments]
    return any(
        abs(a[0] * b[1] - a[1] * b[0]) <= 1e-6 * math.hypot(*a) * math.hypot(*b)
        for a, b in ((sides[0], sides[2]), (sides[1], sides[3]))
    )


@st.composite
def plans(draw: st.DrawFn) -> tuple[list[tuple[Cut, Outline]], Fabric]:
    """Return the pieces of a random quilt's fabric, each with its patch, and the fabric."""
    tiling = TILINGS[draw(st.sampled_from(sorted(TILINGS)))]
    sizes = {
        name: draw(st.integers(4 * SIZES[name][0], 4 * SIZES[name][1])) / 4 * INCH
        for name in tiling.sizes
    }
    edges: tuple[Edge, ...] = ("whole", "trimmed", "filled")
    edge = draw(st.sampled_from(edges))
    quilt = [draw(st.integers(20, 40)) * INCH for _ in range(2)]
    assembly = assemble(tiling.draw(sizes), *quilt, sides=edge, ends=edge)
    found = needs(assembly, ["sand"] * len(assembly.placed))
    allowance = draw(st.sampled_from([0.25, 0.375])) * INCH
    kits = draw(st.integers(1, 40))
    width = draw(st.sampled_from([40.0, 42.0, 44.0])) * INCH
    cuts = []
    for need in found:
        patch = make_patch(need.shape.outline, allowance).outline
        size = patch.bounds
        shared = shared_rectangle(need.shape.outline, allowance)
        count = need.count * kits
        cuts.append((Cut(size.width, size.height, count, None, shared, patch), patch))
    ruler = draw(st.sampled_from([0.0, RULER]))
    return cuts, Fabric(width, ruler_step=ruler)


def _is_bounded(rows: Rows, patch: Outline, fabric: Fabric) -> bool:
    """Return whether strips must not take much more than the area."""
    size = patch.bounds
    return (
        _fills_strips(patch)
        and rows.rows >= 10
        and max(size.width, size.height) <= fabric.width / 6
    )


def compare(cuts: list[tuple[Cut, Outline]], fabric: Fabric) -> Iterator[float]:
    """Yield by how much each size's strips exceed its area, where that is bounded."""
    found = yardage([cut for cut, _ in cuts], fabric)
    whole = math.fsum(_polygon(patch).area * cut.count for cut, patch in cuts)
    assert found.length * fabric.width >= whole * (1.0 - 1e-9)
    assert sum(rows.count for rows in found.rows) == sum(cut.count for cut, _ in cuts)
    for rows in found.rows:
        patch = cuts[rows.index][1]
        area = _polygon(patch).area * rows.count
        taken = rows.length * fabric.width
        # Some are cut from what other sizes leave of their strips.
        own = _polygon(patch).area * (rows.count - rows.from_rests)
        assert taken >= own * (1.0 - 1e-9)
        if _is_bounded(rows, patch, fabric):
            yield taken / area


def assert_keeps_to_its_area(plan: tuple[list[tuple[Cut, Outline]], Fabric]) -> None:
    """No size takes less than its area, and shapes that fill strips at most 1.35 of it.

    Derived: of strips filled to the last piece a sixth of the cloth is lost at most at the ends of
    pieces that are no wider (a seventh and half a piece for slanted ends), and of ten strips and
    more less than one is empty: 13 / 11 x 11 / 10 = 1.3; the ruler adds the rest.
    """
    cuts, fabric = plan
    assert all(ratio <= MOST for ratio in compare(cuts, fabric))


@settings(BUSY, max_examples=15)
@given(plans())
def test_strips_of_a_plan_keep_to_its_area(
    plan: tuple[list[tuple[Cut, Outline]], Fabric],
) -> None:
    assert_keeps_to_its_area(plan)


@pytest.mark.long
@settings(BUSY, max_examples=600)
@given(plans())
def test_strips_of_many_plans_keep_to_their_area(
    plan: tuple[list[tuple[Cut, Outline]], Fabric],
) -> None:
    assert_keeps_to_its_area(plan)


KINDS: list[tuple[str, dict[str, float | str]]] = [
    ("triangle", {"side": 60.0}),
    ("hexagon", {"side": 30.0}),
    ("diamond_45", {"side": 70.0}),
    ("diamond_60", {"side": 50.0}),
    ("half_hexagon", {"side": 40.0}),
    ("kite", {"side": 60.0}),
    ("octagon_kite", {"side": 50.0}),
    ("jewel", {"side": 30.0}),
    ("half_square_triangle", {"side": 80.0}),
    ("quarter_square_triangle", {"base": 120.0}),
    ("right_triangle", {"width": 60.0, "height": 150.0, "hand": "left"}),
    ("tumbler", {"top_width": 75.0, "bottom_width": 50.0, "height": 90.0}),
    ("dresden_blade", {"blades": 20.0, "outer_radius": 200.0, "inner_radius": 50.0}),
    ("parallelogram", {"base": 60.0, "side": 40.0, "angle_deg": 50.0, "hand": "right"}),
    ("pentagon", {"side": 40.0}),
    ("clamshell", {"width": 60.0}),
]


def _check_strips(outline: Outline, room: float, turns_deg: tuple[float, ...] | None) -> None:
    for pattern in strip_patterns(outline, turns_deg):
        count = pattern.count(room)
        laid = [_polygon(each) for each in laid_in_strip(outline, pattern, room, 10**6)]
        assert len(laid) == count
        if not count:
            assert pattern.width > room
            continue
        strip = box(0, 0, room, pattern.height).buffer(1e-4)
        assert all(strip.covers(each) for each in laid)
        # Strips repeat after two pieces. Of sides that touch only predicates are exact: a ten
        # thousandth of a millimetre farther on, a piece is clear of those before it.
        for first, second in combinations(laid[:6], 2):
            assert not first.intersects(affinity.translate(second, 1e-4, 0.0))
        # One more goes beyond the strip, whichever way round the first one lies.
        for start in (0, 1):
            ends = [left + pattern.width for left, _ in pattern.lefts(count + 1, start)]
            assert ends[-1] > room


@pytest.mark.parametrize(("kind", "values"), KINDS)
@pytest.mark.parametrize("turns_deg", [None, (0.0, 180.0), (0.0,)])
def test_pieces_lie_in_their_strips(
    kind: str, values: dict[str, float | str], turns_deg: tuple[float, ...] | None
) -> None:
    """All pieces of a strip lie in it and none overlap; one more does not fit."""
    patch = make_patch(build(kind, values), 6.35).outline
    _check_strips(patch, 1016.0, turns_deg)


points = st.lists(
    st.tuples(st.integers(0, 200), st.integers(0, 200)), min_size=3, max_size=12, unique=True
)


@settings(BUSY, max_examples=60)
@given(points, st.integers(150, 1200))
def test_any_convex_piece_lies_in_its_strips(corners: list[tuple[int, int]], room: int) -> None:
    """The same for convex pieces of any corners."""
    hull = shapely.MultiPoint(corners).convex_hull
    if hull.geom_type != "Polygon" or hull.area < 100.0:
        return
    ring = list(shapely.geometry.polygon.orient(hull).exterior.coords)[:-1]
    _check_strips(Outline.of(ring), float(room), None)


@settings(BUSY, max_examples=60)
@given(points, st.integers(300, 1200))
def test_alternate_pieces_are_as_close_as_they_go(
    corners: list[tuple[int, int]], room: int
) -> None:
    """Pushed a hundredth of a millimetre nearer, a piece overlaps the one before it."""
    hull = shapely.MultiPoint(corners).convex_hull
    if hull.geom_type != "Polygon" or hull.area < 4000.0:
        return
    ring = list(shapely.geometry.polygon.orient(hull).exterior.coords)[:-1]
    outline = Outline.of(ring)
    for pattern in strip_patterns(outline, None):
        if pattern.is_box:
            continue
        laid = [_polygon(each) for each in laid_in_strip(outline, pattern, float(room), 3)]
        for first, second in pairwise(laid):
            nearer = affinity.translate(second, -0.01, 0.0)
            if pattern.steps[0] > 0.01 and pattern.steps[1] > 0.01:
                assert first.intersects(nearer)
