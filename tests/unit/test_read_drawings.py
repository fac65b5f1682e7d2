"""The readers of DXF, SVG and plans on files that are written by hand.

Sources:
    "DXF Reference" for AutoCAD 2000: LWPOLYLINE, POLYLINE, CIRCLE, LINE, ARC, $INSUNITS.
    W3C, "Scalable Vector Graphics (SVG) 1.1 (Second Edition)", 2011, chapter 8.
"""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from adapters.readers import dxf, plan, svg
from adapters.readers.strokes import ReadSegment, ReadStop, ReadStroke, straight
from geometry.model.points import Point


def drawing(
    *entities: str, insunits: int | None = 4, low: str = "0 0", high: str = "300 200"
) -> bytes:
    """Return a DXF file; codes and values are separated by blanks."""
    units = "" if insunits is None else f"9 $INSUNITS 70 {insunits}"
    left, bottom, right, top = *low.split(), *high.split()
    words = (
        f"0 SECTION 2 HEADER 9 $ACADVER 1 {'AC1009' if insunits is None else 'AC1015'} {units} "
        f"9 $EXTMIN 10 {left} 20 {bottom} 30 0.0 9 $EXTMAX 10 {right} 20 {top} 30 0.0 0 ENDSEC "
        f"0 SECTION 2 ENTITIES {' '.join(entities)} 0 ENDSEC 0 EOF"
    )
    return "\n".join(words.split()).encode()


LINE = "0 LINE 8 cut 10 10 20 20 11 30 21 40"


def moves(stroke: ReadStroke) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    return [
        ((round(m.middle.x, 6), round(m.middle.y, 6)), (round(m.end.x, 6), round(m.end.y, 6)))
        for m in stroke.segments
    ]


def test_lines_and_circles() -> None:
    line, circle = dxf.read(drawing(LINE, "0 CIRCLE 8 mark 10 100 20 50 40 20"))
    assert (line.start, moves(line)) == ((10, 20), [((20, 30), (30, 40))])
    assert (line.closed, line.group) == (False, "cut")
    assert (circle.start, moves(circle)) == (
        (120, 50),
        [((100, 70), (80, 50)), ((100, 30), (120, 50))],
    )
    assert (circle.closed, circle.group) == (True, "mark")


@pytest.mark.parametrize(
    ("angles", "start", "middle", "end"),
    [
        ("50 0 51 180", (120, 50), (100, 70), (80, 50)),
        ("50 180 51 0", (80, 50), (100, 30), (120, 50)),
        ("50 270 51 90", (100, 30), (120, 50), (100, 70)),
        ("50 -90 51 450", (100, 30), (120, 50), (100, 70)),
    ],
)
def test_arcs_are_counter_clockwise(
    angles: str, start: tuple[int, int], middle: tuple[int, int], end: tuple[int, int]
) -> None:
    (arc,) = dxf.read(drawing(f"0 ARC 8 cut 10 100 20 50 40 20 {angles}"))
    assert arc.start == pytest.approx(start)
    assert moves(arc) == [(middle, end)]
    assert not arc.closed


def test_polylines_with_bulges() -> None:
    """A half circle from (10, 10) to (30, 10), its middle 10 mm below, and a line back."""
    (ring,) = dxf.read(
        drawing("0 LWPOLYLINE 8 cut 90 2 70 1 10 10 20 10 42 1.0 10 30 20 10 42 0.0")
    )
    assert (ring.start, ring.closed) == ((10, 10), True)
    assert moves(ring) == [((20, 0), (30, 10)), ((20, 10), (10, 10))]
    (path,) = dxf.read(drawing("0 LWPOLYLINE 8 cut 90 2 70 128 10 10 20 10 42 -0.5 10 10 20 30"))
    # Upwards, a clockwise arc lies on the left: 20 / 2 * 0.5 = 5 mm.
    assert (moves(path), path.closed) == ([((5, 20), (10, 30))], False)


def test_polylines_of_r12() -> None:
    """The flags and places of the polyline itself count for the ring alone."""
    entity = (
        "0 POLYLINE 8 score 66 1 70 1 10 0 20 0 30 0 "
        "0 VERTEX 8 other 10 10 20 10 42 1.0 70 0 0 VERTEX 8 other 10 30 20 10 70 0 "
        "0 SEQEND 8 other"
    )
    (ring,) = dxf.read(drawing(entity, insunits=None))
    assert (ring.start, ring.closed, ring.group) == ((10, 10), True, "score")
    assert moves(ring) == [((20, 0), (30, 10)), ((20, 10), (10, 10))]
    (path,) = dxf.read(drawing(entity.replace("70 1 10", "70 0 10"), insunits=None))
    assert not path.closed


@pytest.mark.parametrize(("code", "unit"), [(1, 25.4), (4, 1.0), (5, 10.0), (6, 1000.0)])
def test_units(code: int, unit: float) -> None:
    data = drawing(
        LINE, "0 ARC 8 cut 10 100 20 50 40 20 50 0 51 180", "0 CIRCLE 8 cut 10 9 20 8 40 2",
        "0 LWPOLYLINE 8 cut 90 2 70 0 10 10 20 10 42 1.0 10 30 20 10", insunits=code,
    )  # fmt: skip
    line, arc, circle, path = dxf.read(data, unit=unit)
    assert line.start == pytest.approx((10 * unit, 20 * unit))
    assert line.segments[0].end == pytest.approx((30 * unit, 40 * unit))
    assert arc.start == pytest.approx((120 * unit, 50 * unit))
    assert arc.segments[0].middle == pytest.approx((100 * unit, 70 * unit))
    assert circle.start == pytest.approx((11 * unit, 8 * unit))
    assert circle.segments[0].middle == pytest.approx((9 * unit, 10 * unit))
    assert path.segments[0].middle == pytest.approx((20 * unit, 0), abs=1e-9)
    assert path.segments[0].end == pytest.approx((30 * unit, 10 * unit))
    for other in {1.0, 25.4, 10.0} - {unit}:
        with pytest.raises(ValueError, match="different unit"):
            dxf.read(data, unit=other)


def test_only_r12_may_leave_its_unit_out() -> None:
    (line,) = dxf.read(drawing(LINE, insunits=None), unit=25.4)
    assert line.segments[0].end == pytest.approx((30 * 25.4, 40 * 25.4))
    with pytest.raises(ValueError, match="states no"):
        dxf.read(drawing(LINE, insunits=None).replace(b"AC1009", b"AC1015"))
    with pytest.raises(KeyError):
        dxf.read(drawing(LINE, insunits=2))


@pytest.mark.parametrize(
    ("low", "high", "is_right"),
    [
        ("10 20", "30 40", True),
        ("10.0009 20.0009", "29.9991 39.9991", True),
        ("10.002 20", "30 40", False),
        ("10 20.002", "30 40", False),
        ("10 20", "29.998 40", False),
        ("10 20", "30 39.998", False),
    ],
)
def test_extents(low: str, high: str, *, is_right: bool) -> None:
    if is_right:
        assert len(dxf.read(drawing(LINE, low=low, high=high))) == 1
    else:
        with pytest.raises(ValueError, match="extents"):
            dxf.read(drawing(LINE, low=low, high=high))


def test_the_middle_of_an_arc_is_within_the_extents_too() -> None:
    arc = "0 ARC 8 cut 10 100 20 50 40 20 50 0 51 180"
    assert dxf.read(drawing(arc, low="80 50", high="120 70"))
    with pytest.raises(ValueError, match="extents"):
        dxf.read(drawing(arc, low="80 50", high="120 69"))
    # An empty drawing has no extents that could be wrong.
    assert dxf.read(drawing()) == []


def test_what_is_no_stroke_is_refused() -> None:
    with pytest.raises(ValueError, match="unexpected entity TEXT"):
        dxf.read(drawing("0 TEXT 8 cut 10 1 20 1 40 5 1 words"))
    with pytest.raises(ValueError, match="not finite"):
        dxf.read(drawing("0 LWPOLYLINE 8 cut 90 2 70 0 10 nan 20 10 10 30 20 10"))


def one(ax: float, ay: float, bx: float, by: float, *middle: float) -> ReadStroke:
    at = Point(*middle) if middle else Point((ax + bx) / 2, (ay + by) / 2)
    return ReadStroke(Point(ax, ay), (ReadSegment(at, Point(bx, by)),), False, "cut")


def test_lines_and_arcs_are_joined_end_to_end() -> None:
    """A square of 10 mm, each second side stored backwards, then an open corner."""
    found = [
        one(10, 0, 0, 0), one(10, 0, 10, 10), one(0, 10, 10, 10), one(0, 10, 0, 0),
        one(50, 0, 60, 0), one(60, 9, 60, 0),
    ]  # fmt: skip
    square, corner = dxf.regrouped(found, [4, 2])
    assert (square.start, square.closed, square.group) == ((0, 0), True, "cut")
    assert moves(square) == [
        ((5, 0), (10, 0)), ((10, 5), (10, 10)), ((5, 10), (0, 10)), ((0, 5), (0, 0)),
    ]  # fmt: skip
    assert (corner.start, corner.closed) == ((50, 0), False)
    assert moves(corner) == [((55, 0), (60, 0)), ((60, 4.5), (60, 9))]


def test_arcs_of_one_ring_share_both_ends() -> None:
    """Two arcs between (0, 0) and (10, 0): which comes first is as it is stored."""
    (lens,) = dxf.regrouped([one(0, 0, 10, 0, 5, -3), one(10, 0, 0, 0, 5, 3)], [2])
    assert (lens.start, lens.closed) == ((0, 0), True)
    assert moves(lens) == [((5, -3), (10, 0)), ((5, 3), (0, 0))]


def test_gaps_between_lines() -> None:
    near, far = [one(0, 0, 10, 0), one(10.009, 0, 20, 5)], [one(0, 0, 10, 0), one(10.02, 0, 20, 5)]
    assert len(dxf.regrouped(near, [2])) == 1
    with pytest.raises(ValueError, match="do not meet"):
        dxf.regrouped(far, [2])
    with pytest.raises(ValueError, match="3 lines and arcs were planned, 2 were found"):
        dxf.regrouped(near, [1, 2])
    # A single line is a stroke of its own, as it is stored; so is a circle.
    (circle,) = dxf.read(drawing("0 CIRCLE 8 mark 10 100 20 50 40 20"))
    assert dxf.regrouped([near[1], circle], [1, 1]) == [near[1], circle]


def page(paths: str, size: str = 'width="100mm" height="60mm" viewBox="0 0 100 60"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{paths}</svg>'.encode()


def test_svg_points_down_and_a_plan_up() -> None:
    data = page(
        '<g id="cut"><path d="M10 20 L30 20 A10 10 0 0 1 40 30 Z"/><path d="M0 0 L5 10"/></g>'
        '<g id="mark"><path d="M50 60 L60 50 L50 60 Z"/></g>'
    )
    ring, line, back = svg.read(data)
    assert (ring.start, ring.closed, ring.group) == ((10, 40), True, "cut")
    # With y down, sweep 1 turns right: around (30, 30), over (37.07, 22.93), which is 37.07 up.
    half = 10 * math.sqrt(0.5)
    assert [m.middle for m in ring.segments] == [
        pytest.approx((20, 40)), pytest.approx((30 + half, 30 + half), abs=1e-4),
        pytest.approx((25, 35)),
    ]  # fmt: skip
    assert [m.end for m in ring.segments] == [
        pytest.approx((30, 40)), pytest.approx((40, 30)), pytest.approx((10, 40)),
    ]  # fmt: skip
    assert (line.closed, line.group, line.start) == (False, "cut", (0, 60))
    assert moves(line) == [((2.5, 55), (5, 50))]
    # It closes where it already is: no move of no length is added.
    assert (back.closed, back.group, len(back.segments)) == (True, "mark", 2)


def test_svg_in_another_scale() -> None:
    """A view box of 200 x 120 on 100 x 60 mm halves everything."""
    data = page('<g id="cut"><path d="M20 40 L60 40"/></g>',
                'width="100mm" height="60mm" viewBox="0 0 200 120"')  # fmt: skip
    (line,) = svg.read(data)
    assert line.start == pytest.approx((10, 40))
    assert line.segments[0].end == pytest.approx((30, 40))


def test_a_path_outside_of_the_groups_is_noticed() -> None:
    with pytest.raises(ValueError, match="1 paths are in groups, 2 were read"):
        svg.read(page('<g id="cut"><path d="M0 0 L5 10"/></g><path d="M0 0 L9 9"/>'))


def document(**changes: Any) -> bytes:
    row = {
        "operation": "cut",
        "closed": False,
        "points": [[10, 20, 0.5], [30, 20, -1], [30, 40, 3]],
    }
    rows = [row, {**row, "closed": True, "angle_deg": 22.5, "operation": "score"}]
    stops = [{"before_stroke": 1, "message": "Turn.", "reason": "turn-blade"}]
    return json.dumps({"units": "mm", "strokes": rows, "stops": stops, **changes}).encode()


def test_plans() -> None:
    """Half of 20 mm times 0.5 is 5 mm to the right of the way; the ring's last bulge is 3.

    From (30, 40) to (10, 20): its right is (-20, 20), so the middle is (20 - 30, 30 + 30).
    """
    (path, ring), stops = plan.read(document())
    assert (path.start, path.closed, path.group) == ((10, 20), False, "cut")
    assert moves(path) == [((20, 15), (30, 20)), ((20, 30), (30, 40))]
    assert (ring.start, ring.closed, ring.group) == ((10, 20), True, "score@22.5")
    assert moves(ring) == [*moves(path), ((-10, 60), (10, 20))]
    assert stops == [ReadStop(1, "Turn.")]
    with pytest.raises(ValueError, match="millimetres"):
        plan.read(document(units="in"))


def test_straight_strokes() -> None:
    found = straight([Point(0, 0), Point(10, 0), Point(10, 4)], closed=True, group="score")
    assert (found.start, found.closed, found.group) == ((0, 0), True, "score")
    assert moves(found) == [((5, 0), (10, 0)), ((10, 2), (10, 4))]
