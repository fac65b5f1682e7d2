"""What a tool needs beside the pieces: nothing is cut off the bed, no line leaves the margins."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely

from geometry.errors import GeometryError, GeometryFaults
from geometry.layout import Item
from geometry.measure import flattened
from geometry.model.cutter import (
    Bed,
    Cutter,
    DragBlade,
    IndexedBlade,
    Laser,
    Margins,
    Pen,
    SteelRuleDie,
    Tool,
    WorkArea,
)
from geometry.model.outline import Chain, Outline, Region
from geometry.model.plan import Stroke
from geometry.model.plausible import require_plausible
from geometry.proof.slits import slits
from geometry.shapes.catalogue import build
from geometry.toolpath.reserve import kept_free, past_corners
from tests.layouts import lay_out
from tests.short_form import few
from tests.tool_plans import Planned, PlanOptions, make_plan, room_for_pieces

ROOM = WorkArea.rectangle(0, 0, 103, 103)
SQUARE = Outline.of([(0, 0), (25, 0), (25, 25), (0, 25)])


def planned(tool: Tool, room: WorkArea, bed: Bed, *, gap: float = 1.0) -> Planned:
    inside = room_for_pieces(room, bed, tool, [SQUARE])
    load = lay_out([Item("A", SQUARE, 16)], inside, gap=gap, effort="quick").loads[0]
    return make_plan(
        load,
        {"A": Region(SQUARE)},
        Cutter("bench", tool, bed),
        room,
        title="",
        entry_angle_deg=None,
        options=PlanOptions(),
    )


def ways(strokes: tuple[Stroke, ...]) -> shapely.Geometry:
    lines = []
    for stroke in strokes:
        path = Outline(stroke.vertices) if stroke.closed else Chain(stroke.vertices)
        points = flattened(path, 0.001)
        lines.append(shapely.LineString([*points, points[0]] if stroke.closed else points))
    return shapely.union_all(lines)


BEDS = [
    Bed(103, 103),
    Bed(103, 103, Outline.of([(103, 51.5, 1), (0, 51.5, 1)])),
    Bed(103, 103, None, (Outline.of([(40, 40), (60, 40), (60, 60), (40, 60)]),)),
]


@pytest.mark.parametrize("bed", BEDS)
@pytest.mark.parametrize("tool", [Laser(kerf=0.4), DragBlade(offset=1.0), SteelRuleDie()])
def test_no_axis_and_no_burn_leaves_a_bed_without_margins(tool: Tool, bed: Bed) -> None:
    room = WorkArea(bed.boundary or ROOM.boundary, bed.keep_outs)
    plan = planned(tool, room, bed).plan
    opening = shapely.Polygon(flattened(room.boundary, 0.0001))
    for keep_out in bed.keep_outs:
        opening = opening.difference(shapely.Polygon(flattened(keep_out, 0.0001)))
    half = {"laser": 0.2, "steel_rule_die": 0.71 / 2.0}.get(tool.kind, 1e-4)
    cut = ways(plan.strokes)
    assert len(plan.strokes) >= 4
    assert opening.buffer(1e-3).covers(cut.buffer(half, quad_segs=32, cap_style="flat"))


@pytest.mark.parametrize("bed", BEDS)
def test_no_stab_leaves_a_bed_without_margins(bed: Bed) -> None:
    blade = IndexedBlade(width=2.0)
    room = WorkArea(bed.boundary or ROOM.boundary, bed.keep_outs)
    plan = planned(blade, room, bed, gap=2.5).plan
    opening = shapely.Polygon(flattened(room.boundary, 0.0001))
    for keep_out in bed.keep_outs:
        opening = opening.difference(shapely.Polygon(flattened(keep_out, 0.0001)))
    found = slits(plan.strokes, blade.width, blade.step)
    stabs = shapely.multilinestrings([(slit.start, slit.end) for slit in found])
    assert opening.buffer(1e-3).covers(stabs)


def test_margins_that_suffice_are_not_asked_for_twice() -> None:
    bed = Bed(120, 120)
    room = WorkArea.rectangle(5, 5, 110, 110)
    for tool in (IndexedBlade(), SteelRuleDie(), Pen()):
        assert room_for_pieces(room, bed, tool) is room
    # Margins bound the tool's axis: a trailing blade's runs its offset ahead of the tip.
    assert room_for_pieces(room, bed, DragBlade(offset=0.5)).bounds == (5.5, 5.5, 114.5, 114.5)
    # Margins bound the beam's own line: it runs half the slot outside the pieces.
    assert room_for_pieces(room, bed, Laser(kerf=0.4)).bounds == (5.2, 5.2, 114.8, 114.8)


def test_sharp_corners_reach_farther() -> None:
    room, bed = WorkArea.rectangle(5, 5, 110, 110), Bed(120, 120)
    # Derived: 1 / sin 45 degrees at a square's corner, 1 / sin 60 at a hexagon's.
    assert past_corners([SQUARE]) == pytest.approx(math.sqrt(2.0))
    assert past_corners([build("hexagon", {"side": 9.0})]) == pytest.approx(
        1 / math.sin(math.pi / 3)
    )
    found = room_for_pieces(room, bed, Laser(kerf=0.4), [SQUARE])
    assert found.bounds.left == pytest.approx(5 + 0.2 * math.sqrt(2.0))


def test_each_side_by_itself() -> None:
    keep = Margins(left=0.1, bottom=3.0)
    room = WorkArea.rectangle(keep.left, keep.bottom, 99.9, 97.0)
    found = room_for_pieces(room, Bed(100, 100), IndexedBlade(width=0.8))
    assert found.bounds == pytest.approx((0.4, 3.0, 99.6, 99.6))


def test_a_roll_stays_open() -> None:
    room = WorkArea.roll(0, 0, 100, 5000)
    found = room_for_pieces(room, Bed(500, 100), Laser(kerf=0.4))
    assert found.open_right
    assert (found.bounds.left, found.bounds.bottom, found.bounds.top) == (0.4, 0.4, 99.6)
    assert found.longest == pytest.approx(5000 - 2 * 0.4)


def test_a_bed_smaller_than_the_blade_is_refused() -> None:
    with pytest.raises(GeometryError, match="larger bed"):
        room_for_pieces(WorkArea.rectangle(0, 0, 3, 3), Bed(3, 3), IndexedBlade(width=5, step=1))


@pytest.mark.parametrize("offset", [0.25, 1.0])
@pytest.mark.parametrize("corner", few(range(4), 2))
def test_room_kept_free_is_room_enough(offset: float, corner: int) -> None:
    blade, bed = DragBlade(offset=offset), Bed(103 + 2 * offset, 103 + 2 * offset)
    room = WorkArea.rectangle(0, 0, bed.width, bed.height)
    inside = room_for_pieces(room, bed, blade)
    assert not planned(blade, room, bed).lined_up
    kept = next(itertools.islice(kept_free(inside, blade), corner, None))
    layout = lay_out([Item("A", SQUARE, 16)], kept, gap=1.0, effort="quick")
    for load in layout.loads:
        found = make_plan(
            load,
            {"A": Region(SQUARE)},
            Cutter("bench", blade, bed),
            room,
            title="",
            entry_angle_deg=None,
            options=PlanOptions(),
        )
        assert found.lined_up
        line_up = found.plan.strokes[0]
        assert line_up.part == "line-up"
        assert line_up.length >= 6 * offset - 1e-9


@pytest.mark.parametrize(
    ("make", "where", "message"),
    [
        (lambda: Laser(kerf=127.0), ("kerf",), "0 and 3 mm"),
        (lambda: DragBlade(offset=300.0), ("offset",), "0 and 3 mm"),
        (lambda: DragBlade(offset=float("nan")), ("offset",), "0 and 3 mm"),
        (lambda: IndexedBlade(width=20.4, step=1.0), ("blade_width",), r"0\.1 and 20 mm"),
        (lambda: IndexedBlade(step=0.001), ("step",), r"0\.02 and 20 mm"),
        (lambda: SteelRuleDie(rule=28.0), ("rule",), r"0\.3 and 3 mm"),
        (lambda: Cutter("x", Pen(), Bed(9, 9), speed=1e-300), ("speed",), r"0\.1 and 5000 mm/s"),
        (lambda: Cutter("x", Pen(), Bed(9, 9), travel_speed=1e9), ("travel_speed",), "5000"),
    ],
)
def test_numbers_that_no_tool_has(make: object, where: tuple[str, ...], message: str) -> None:
    assert callable(make)
    with pytest.raises(GeometryError, match=message) as caught:
        make()
    assert caught.value.where == where


def test_all_at_once() -> None:
    with pytest.raises(GeometryFaults) as caught:
        IndexedBlade(width=50.0, step=30.0)
    assert [fault.where for fault in caught.value.faults] == [("blade_width",), ("step",)]
    require_plausible()
