"""Two trapezoids in a rectangle: they lie in it, do not overlap, and are cut no smaller."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box, intersection, union

from geometry.measure import flattened
from geometry.model.outline import Outline
from geometry.model.transform import Rigid
from geometry.offset.allowance import make_patch
from geometry.planning.cloth import Cut, Fabric
from geometry.planning.strips import HALF_TURN
from geometry.planning.triangles import shared_pieces, shared_rectangle
from geometry.planning.ways import ways
from tests.property.test_cloth_never_above_rows import compare

BUSY = settings(
    deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
INCH = 25.4
ALLOWANCE = 0.25 * INCH
eighths = st.integers(8, 64)


@st.composite
def trapezoids(draw: st.DrawFn) -> Outline:
    """Return a trapezoid with two right angles, its sides in eighths of an inch."""
    apart, short, more = draw(eighths), draw(eighths), draw(st.integers(1, 40))
    rows = [(0, 0), (apart, 0), (apart, short), (0, short + more)]
    outline = Outline.of([(x * INCH / 8, y * INCH / 8) for x, y in rows])
    return Rigid(
        draw(st.sampled_from([0.0, 90.0, 180.0, 270.0])), mirrored=draw(st.booleans())
    ).outline(outline)


def cut_of(outline: Outline, count: int, *, free: bool) -> Cut:
    """Return what is cut of a piece with an allowance of 1/4 in."""
    patch = make_patch(outline, ALLOWANCE).outline
    shared = shared_rectangle(outline, ALLOWANCE)
    assert shared is not None
    return Cut(
        patch.bounds.width, patch.bounds.height, count, None if free else HALF_TURN, shared, patch
    )


def polygon(outline: Outline) -> Polygon:
    """Return an outline for the outside library."""
    return Polygon(flattened(outline, 0.001))


@settings(BUSY, max_examples=60)
@given(trapezoids(), st.sampled_from([0.0, INCH / 16]))
def test_a_rectangle_holds_two(outline: Outline, ruler: float) -> None:
    """Both pieces as cut by ruler hold the patch, turned half round, and part the rectangle."""
    cut = cut_of(outline, 2, free=True)
    found = [way for way in ways(cut, Fabric(ruler_step=ruler), 4000.0) if way.shared is not None]
    assert found
    for way in found:
        pattern = way.pattern
        assert way.shared is not None
        pieces = shared_pieces(way.shared, pattern.width, pattern.height, pattern.turn_deg, 2)
        one, other = (polygon(each) for each in pieces)
        whole = box(0.0, 0.0, pattern.width, pattern.height)
        assert intersection(one, other, grid_size=1e-6).area <= 1e-3
        assert abs(union(one, other, grid_size=1e-6).area - whole.area) <= 1e-6 * whole.area
        for piece in (one, other):
            assert any(
                _lies_in(cut.cut_outline, pattern.turn_deg + turn, piece) for turn in (0, 180)
            )


def _lies_in(patch: Outline, turn_deg: float, piece: Polygon) -> bool:
    """Return whether a turned patch goes into a cut piece, its box in one of the four corners."""
    lying = polygon(Rigid(turn_deg % 360.0).outline(patch))
    left, bottom, right, top = piece.bounds
    room = piece.buffer(2e-3, join_style="mitre")
    for x in (left - lying.bounds[0], right - lying.bounds[2]):
        for y in (bottom - lying.bounds[1], top - lying.bounds[3]):
            if room.covers(affinity.translate(lying, x, y)):
                return True
    return False


@settings(BUSY, max_examples=10)
@given(trapezoids(), st.integers(1, 24), st.booleans(), st.sampled_from([40.0, 44.0]))
def test_a_layout_takes_no_more(outline: Outline, count: int, free: bool, width: float) -> None:
    """Strips of such rectangles are a layout whose pieces are apart, and none takes more."""
    compare([cut_of(outline, count, free=free)], width)
