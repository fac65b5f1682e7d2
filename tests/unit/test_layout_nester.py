"""The nester behind its door: the same answer every time, stopped on request, never trusted."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from geometry.layout import Item
from geometry.layout.effort import BEST, NORMAL, QUICK, Budget, SearchEnded, ShouldStop
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.nesting import nester, nester_search
from geometry.layout.nesting.nester import nested
from geometry.layout.nesting.nester_search import fuller, shortest, worth_asking
from geometry.layout.orders import order
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from service.sandbox import nester as process
from tests.layouts import lay_out

SQUARE = Item("A", build("square", {"side": 50.8}), 1000)
MAT = WorkArea.rectangle(3.0, 5.0, 304.8, 304.8)
OUTLINES = {"A": SQUARE.outline}


def _budget(steps: float = math.inf, should_stop: ShouldStop = None) -> Budget:
    return Budget(steps, should_stop, process.installed())


def asked(count: int, room: WorkArea = MAT, **how: Any) -> list[Placed] | None:
    usual: dict[str, Any] = {"gap": 1.0, "failures": 1, "seed": 1, "budget": _budget()}
    return nested([SQUARE], {"A": count}, room, **(usual | how))


def test_more_squares_than_straight_rows_hold() -> None:
    # derived: rows hold 5 x 5; E. Friedman, "Packing unit squares in squares", Electronic Journal
    # of Combinatorics DS7, has 27 in a square of side 5 + sqrt 2 / 2 = 5.707; here it is 5.903
    found = asked(27)
    assert found is not None
    load = Load(tuple(each.placement for each in found))
    assert load.outlines == {"A": 27}
    assert check_load(OUTLINES, load, MAT, 1.0) == []


def test_one_seed_gives_one_answer() -> None:
    once, again, other = asked(27), asked(27), asked(27, seed=2)
    assert once == again
    assert once != other


#: Their areas would go on it, but five squares take a side of 2.707, E. Friedman, as above.
CORNER = WorkArea.rectangle(0.0, 0.0, 2.4 * 51.8 - 1.0, 2.4 * 51.8 - 1.0)


@pytest.mark.parametrize(
    ("count", "room"), [(5, CORNER), pytest.param(35, MAT, marks=pytest.mark.long)]
)
def test_what_cannot_be_is_given_up_after_counted_tries(count: int, room: WorkArea) -> None:
    budget = _budget()
    assert asked(count, room, budget=budget) is None
    assert not budget.was_cut


def test_it_ends_when_told() -> None:
    looks = itertools.count()
    budget = _budget(should_stop=lambda: next(looks) >= 3)
    assert asked(35, failures=10**6, budget=budget) is None
    assert budget.was_cut
    assert next(looks) == 4


def test_it_ends_when_its_steps_are_spent() -> None:
    spent = [_budget(steps) for steps in (400.0, 400.0)]
    assert [asked(35, failures=10**6, budget=each) for each in spent] == [None, None]
    # The same steps are spent on any machine, however busy.
    assert spent[0].left == spent[1].left < 0.0
    assert not spent[0].was_cut


@pytest.mark.parametrize("text", ["raise SystemExit(3)", "import os; os.abort()", "pass"])
def test_a_nester_that_dies_costs_nothing_but_its_help(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, text: str
) -> None:
    (tmp_path / "nester_that_dies.py").write_text(f"def main(lifeline):\n    {text}\n")
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(process, "_MAIN", "nester_that_dies:main")
    budget = _budget()
    assert asked(27, budget=budget) is None
    assert budget.was_cut
    layout = lay_out([SQUARE], MAT, gap=1.0)
    # Straight rows hold 25; 27 take the nester.
    assert 25 <= len(layout.loads[0].placements) < 27
    # Another time it may live, and find a shorter strip for several kinds.
    kinds = [replace(SQUARE, quantity=12), Item("B", build("octagon", {"side": 30.0}), 5)]
    assert not lay_out(kinds, MAT, gap=1.0).complete
    assert not layout.complete


def test_what_it_says_is_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    true = nester.placed_of
    monkeypatch.setattr(nester, "placed_of", lambda rows, *rest: true([rows[0], *rows[:-1]], *rest))
    assert asked(27) is None


@pytest.mark.parametrize("turns", ["half-turn", (0.0, 90.0), (30.0,)])
def test_a_room_on_its_side_keeps_the_allowed_turns(turns: Any) -> None:
    item = Item("T", build("half_hexagon", {"side": 25.4}), 1000, turns)
    room = WorkArea.rectangle(2.0, 3.0, 130.0, 90.0)
    how: Any = {"gap": 1.0, "seed": 0, "effort": BEST, "budget": _budget()}
    found = next(fuller(item, 3, 4, room, **how))
    allowed = item.stated_turns_deg
    assert allowed is not None
    assert {each.variant.turn_deg for each in found} <= set(allowed)
    load = Load(tuple(each.placement for each in found))
    assert check_load({"T": item.outline}, load, room, 1.0) == []


def test_one_piece_more_has_as_many_steps_as_two(monkeypatch: pytest.MonkeyPatch) -> None:
    """As of kites on a mat: 52 take all steps and are not found, 51 save three loads and are.

    Here 10,000 squares, 25 to a load: 26 save 400 - 385 loads. Twice the 2,500 steps of `normal`.
    """
    many = replace(SQUARE, quantity=10_000)
    calls = []

    def spend(_: Any, wanted: Any, *rest: Any) -> None:
        budget = rest[-1]
        calls.append((wanted["A"], budget.left))
        budget.left = -4.0

    monkeypatch.setattr(nester_search, "_asked", spend)
    budget = _budget()
    budget.left = 1000.0
    how: Any = {"gap": 1.0, "seed": 0, "effort": NORMAL, "budget": budget}
    assert list(fuller(many, 25, 34, MAT, **how)) == []
    assert calls == [(27, 5000.0), (26, 5000.0)]
    assert budget.left == -4.0


def test_normal_effort_asks_only_where_a_load_may_be_saved() -> None:
    # 25 per load in rows: 51 take 3 loads and would with 27; 52 to 54 go on 2 loads of 27
    many = [worth_asking(Item("A", SQUARE.outline, count), 25, 34, NORMAL) for count in (51, 60)]
    assert many == [True, False]
    assert not worth_asking(Item("A", SQUARE.outline, 1000), 25, 34, QUICK)


def test_normal_effort_finds_the_squares_at_an_angle() -> None:
    layout = lay_out([SQUARE], MAT, gap=1.0)
    assert layout.complete
    assert len(layout.loads[0].placements) >= 27
    assert check_load(OUTLINES, layout.loads[0], MAT, 1.0) == []


def test_best_effort_past_its_deadline_has_the_best_so_far() -> None:
    looks = itertools.count()
    late = lay_out([SQUARE], MAT, gap=1.0, effort="best", should_stop=lambda: next(looks) > 4)
    assert not late.complete
    assert len(late.loads[0].placements) >= 25
    assert sum(len(load.placements) * load.repeats for load in late.loads) == 1000


ROLL = WorkArea.roll(0.0, 0.0, 120.0)
#: Pieces that leave each other much to try.
MIXED = [
    Item("D", build("diamond_45", {"side": 40.0}), 6, "half-turn"),
    Item("H", build("half_hexagon", {"side": 30.0}), 5, "half-turn"),
]


def test_a_roll_is_searched_alike_every_time() -> None:
    def shortest_of(seed: int) -> list[Placed]:
        found: list[Placed] = []
        with suppress(SearchEnded):
            for each in shortest(MIXED, ROLL, gap=1.0, seed=seed, budget=_budget(1500.0)):
                found = each
        return found

    once, again, other = shortest_of(1), shortest_of(1), shortest_of(2)
    assert once == again
    assert once != other
    load = Load(tuple(each.placement for each in once))
    assert load.outlines == {item.piece: item.quantity for item in MIXED}
    assert check_load({item.piece: item.outline for item in MIXED}, load, ROLL, 1.0) == []


@contextmanager
def _short_search(
    question: Mapping[str, Any], is_cut: Callable[[], bool]
) -> Iterator[Iterator[dict[str, Any]]]:
    """Stand in for the nester: one square at 10 mm less the seed, then the end of the search."""
    assert not is_cut()
    length = 10.0 - question["seed"]
    placed = [("A", length + 25.0, 25.0, 0.0)]
    found = {"found": length + 50.0, "placed": placed}
    yield iter([found, {"step": 1}, {"compressing": 1}, {"done": 1}])


def test_a_roll_is_searched_from_other_seeds_until_its_steps_are_spent() -> None:
    squares = [Item("A", build("square", {"side": 50.0}), 1, "fixed")]
    # 120 steps to start and 6.15 for each of two reports before the end: 132.3 for a seed, and less
    # than 3 for squeezing. A tenth of 1000 steps is kept for that: 900 are enough for seven seeds.
    # What the first leaves, one square at x = 34 less its 25, is squeezed to the left end.
    budget = Budget(1000.0, None, _short_search)
    found = []
    for (each,) in shortest(squares, ROLL, gap=0.0, seed=0, budget=budget):
        found.append(each.x)
    assert found[0] == 34.0
    assert found[-1] == pytest.approx(25.0, abs=2e-3)
    assert 1000.0 - 8 * 136.0 < budget.left <= 100.0
    assert not budget.was_cut


def test_a_search_that_ends_at_the_nester_keeps_its_fullest_rows() -> None:
    # derived: the nester may be asked for more than the 25 hexagons that rows hold on a sheet of
    # 8 x 10 1/2 in; where no step is left to ask, 1000 / 25 are 40 loads, as without it
    @contextmanager
    def silent(*_: Any) -> Iterator[Iterator[None]]:
        yield iter(())

    hexagon = Item("A", build("hexagon", {"side": 25.4}), 1000)
    room = WorkArea.rectangle(6.35, 6.35, 203.2, 266.7)
    alone, helped = (
        order.lay_out([hexagon], room, gap=1.0, effort="normal", nester=each)
        for each in (None, silent)
    )
    loads = [sum(load.repeats for load in each.loads) for each in (alone, helped)]
    assert loads == [40, 40]
