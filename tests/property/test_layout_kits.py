"""Random kits on random beds: cut by a second measurement that shares no code with the layouts."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import HealthCheck, assume, given, seed, settings
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.layout import Item
from geometry.layout.fitting.fit import DoesNotFit
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.offset.allowance import Corners, make_patch
from geometry.proof.overlap import check_load
from geometry.validate import require_simple
from tests.layouts import lay_out
from tests.property import cut_check, strategies

_QUARTER = math.tan(math.pi / 8.0)


_TURNS: list[str | tuple[float, ...]] = [
    "free", "free", "half-turn", "fixed", (0.0, 90.0), (15.0,)
]  # fmt: skip


@st.composite
def customs(draw: st.DrawFn) -> Outline:
    """Draw a star-shaped outline of lines and arcs, 15 to 80 mm across its middle."""
    count = draw(st.integers(3, 9))
    size = draw(st.floats(15, 80))
    rows = []
    for index in range(count):
        angle = math.tau * (index + draw(st.floats(-0.3, 0.3))) / count
        reach = size * draw(st.floats(0.25, 0.6))
        bulge = draw(st.sampled_from([0.0, 0.0, 0.0, 0.2, -0.15, 0.4]))
        rows.append((reach * math.cos(angle), reach * math.sin(angle), bulge))
    try:
        return require_simple(Outline.of(rows))
    except GeometryError:
        assume(condition=False)
        raise


@st.composite
def items(draw: st.DrawFn, max_kinds: int = 3, max_pieces: int = 30) -> list[Item]:
    """Draw one to three kinds with allowances, quantities and what grain allows."""
    found = []
    for number in range(draw(st.integers(1, max_kinds))):
        template = draw(st.one_of(strategies.outlines, strategies.outlines, customs()))
        corners = Corners(draw(st.sampled_from(["mitre", "blunt", "round"])))
        try:
            outline = make_patch(template, draw(st.floats(0, 10)), corners=corners).outline
        except GeometryError:
            outline = template
        turns = draw(st.sampled_from(_TURNS))
        many = draw(st.sampled_from([1, 2, 4, 8, 8, 30]))
        quantity = draw(st.integers(1, min(many, max_pieces)))
        found.append(Item("ABC"[number], outline, quantity, turns, draw(st.booleans())))
    return found


@st.composite
def rooms(draw: st.DrawFn) -> WorkArea:
    """Draw a work area of any sort, not at the origin."""
    x, y = draw(st.floats(0, 30)), draw(st.floats(0, 30))
    w, h = draw(st.floats(110, 420)), draw(st.floats(110, 420))
    kind = draw(
        st.sampled_from(["rectangle"] * 4 + ["roll", "rounded", "disc", "polygon", "hollow"])
    )
    if kind == "rectangle":
        return WorkArea.rectangle(x, y, w, h)
    if kind == "roll":
        return WorkArea.roll(x, y, h, draw(st.sampled_from([math.inf, 400.0])))
    if kind == "rounded":
        r, q = min(w, h) * draw(st.floats(0.1, 0.45)), _QUARTER
        rows = [(r, 0, 0), (w - r, 0, q), (w, r, 0), (w, h - r, q),
                (w - r, h, 0), (r, h, q), (0, h - r, 0), (0, r, q)]  # fmt: skip
        return WorkArea(Outline.of([(x + a, y + b, bulge) for a, b, bulge in rows]))
    if kind == "disc":
        return WorkArea(Outline.of([(x, y + w / 2, 1), (x + w, y + w / 2, 1)]))
    if kind == "hollow":
        return WorkArea(Outline.of([(x, y), (x + w, y), (x + w, y + h, -0.15), (x, y + h)]))
    corners = [(0.0, 0.0), (w, 0.0), (w, 0.5 * h), (0.55 * w, h), (0.0, h)]
    hole = [(0.3, 0.3), (0.45, 0.3), (0.45, 0.42), (0.3, 0.42)]
    return WorkArea(
        Outline.of([(x + a, y + b) for a, b in corners]),
        (Outline.of([(x + a * w, y + b * h) for a, b in hole]),),
    )


def assert_can_be_cut(kit: list[Item], room: WorkArea, gap: float, effort: str, sets: bool) -> None:
    try:
        layout = lay_out(kit, room, gap=gap, effort=effort, sets=sets)
    except DoesNotFit as error:
        assert error.piece in {item.piece for item in kit}
        assert error.largest_scale < 1.0
        return
    assert layout.complete
    outlines = {item.piece: item.outline for item in kit}
    made = dict.fromkeys(outlines, 0)
    for load in layout.loads:
        assert check_load(outlines, load, room, gap) == []
        assert list(cut_check.faults(outlines, load, room, gap)) == []
        for piece, count in load.outlines.items():
            made[piece] += count * load.repeats
    assert made == {item.piece: item.quantity for item in kit}
    assert layout.bound <= sum(load.repeats for load in layout.loads)
    for item in kit:
        moves = {each.move for load in layout.loads for each in load.placements
                 if each.piece == item.piece}  # fmt: skip
        assert item.mirror or not any(move.mirrored for move in moves)
        allowed = item.stated_turns_deg
        if allowed is not None:
            assert {round(move.turn_deg % 360.0, 6) for move in moves} <= set(allowed)
    if room.open_right:
        ends = [
            cut_check.placed(outlines[each.piece], each, 1e-3).bounds[2]
            for load in layout.loads
            for each in load.placements
        ]
        assert max(ends) - room.bounds.left <= room.longest + 1e-3
        assert layout.length_bound is not None
        assert layout.length_bound <= (max(ends) - room.bounds.left) * len(layout.loads) + 1e-2 or (
            len(layout.loads) > 1
        )


KITS = (
    items(),
    rooms(),
    st.sampled_from([0.0, 0.5, 1.0, 3.0]),
    st.sampled_from(["quick", "normal"]),
    st.booleans(),
)
_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


@pytest.mark.timeout(900)
@settings(max_examples=3, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(*KITS)
def test_random_kits_can_be_cut(
    kit: list[Item], room: WorkArea, gap: float, effort: str, sets: bool
) -> None:
    assert_can_be_cut(kit, room, gap, effort, sets)


@pytest.mark.long
@pytest.mark.timeout(5400)
@pytest.mark.parametrize("part", range(20))
def test_two_thousand_random_kits_can_be_cut(part: int) -> None:
    # In parts, each of its own seed: together they take hours, and a part can be run by itself.
    hundred = settings(max_examples=100, deadline=None, suppress_health_check=_SLOW)
    seed(part)(hundred(given(*KITS)(assert_can_be_cut)))()


SQUARE = Outline.of([(0, 0), (10, 0), (10, 10), (0, 10)])
LENS = Outline.of([(0, 0, 0.5), (20, 0, 0.5)])


@pytest.mark.parametrize(
    ("outline", "x", "gap", "right"),
    [
        (SQUARE, 11.0, 1.0, True),
        (SQUARE, 11.0 - 2e-6, 1.0, False),
        (SQUARE, 10.0, 0.0, True),
        (SQUARE, 10.0 - 5e-6, 0.0, False),
        (LENS, 21.0, 1.0, True),
        (LENS, 21.0 - 3e-6, 1.0, False),
    ],
)
def test_the_check_sees_millionths(outline: Outline, x: float, gap: float, right: bool) -> None:
    room = WorkArea.rectangle(-50, -50, 200, 200)
    places = (Placement("A", Rigid(0.0, 0.0, 0.0)), Placement("A", Rigid(0.0, x, 0.0)))
    found = list(cut_check.faults({"A": outline}, Load(places), room, gap))
    assert (found == []) is right


@pytest.mark.parametrize(("x", "right"), [(0.0, True), (-3e-6, False), (180.0, True)])
def test_the_check_sees_what_leaves_a_room(x: float, right: bool) -> None:
    for room in (
        WorkArea.rectangle(0, -50, 190, 200),
        WorkArea(Outline.of([(0, -50), (190, -50), (190, 150), (80, 160), (0, 150)])),
    ):
        load = Load((Placement("A", Rigid(0.0, x, 0.0)),))
        assert (list(cut_check.faults({"A": SQUARE}, load, room, 1.0)) == []) is right
    away = Outline.of([(3, 3), (9, 3), (9, 9), (3, 9)])
    barred = WorkArea(WorkArea.rectangle(-50, -50, 400, 400).boundary, (away,))
    load = Load((Placement("A", Rigid(0.0, 0.0, 0.0)),))
    assert list(cut_check.faults({"A": SQUARE}, load, barred, 1.0)) != []


def test_arcs_are_where_their_bulges_say() -> None:
    # derived: two arcs of bulge 1 are a disc
    disc = shapely.Polygon(cut_check.chords(Outline.of([(0, 0, 1), (10, 0, 1)]), 1e-5))
    assert disc.area == pytest.approx(math.pi * 25, rel=1e-5)
    # derived: a bulge b has a sagitta of b times half the chord
    hollow = shapely.Polygon(
        cut_check.chords(Outline.of([(0, 0), (20, 0, -0.3), (20, 20), (0, 20)]), 1e-5)
    )
    assert hollow.intersection(shapely.LineString([(0, 10), (30, 10)])).length == pytest.approx(
        17.0, abs=1e-4
    )
