"""What a search worked out before is used again, and changes nothing."""

from __future__ import annotations

import pytest

from geometry.layout.effort import Budget, unlimited
from geometry.layout.fitting import bottom_left
from geometry.layout.fitting.bottom_left import Placed, Side, add
from geometry.layout.item import Item
from geometry.layout.recent import Recent
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline

ROOM = WorkArea.rectangle(0.0, 0.0, 100.0, 80.0)
SQUARE = Item("A", Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)]), 3)
TRIANGLE = Item("B", Outline.of([(0, 0), (25, 0), (0, 20)]), 20)


def _filled(budget: Budget, side: Side, gap: float) -> list[Placed]:
    placed: list[Placed] = []
    for item in (SQUARE, TRIANGLE):
        add(item, item.quantity, ROOM, placed, gap=gap, turns=4, budget=budget, side=side)
    return placed


def test_a_search_that_has_been_there_before_ends_at_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls = 0
    region_left = bottom_left.region_left

    def counted(*arguments: object) -> object:
        nonlocal calls
        calls += 1
        return region_left(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(bottom_left, "region_left", counted)
    ways = [(side, gap) for side in Side for gap in (0.0, 2.0)]
    budget = unlimited()
    first = [_filled(budget, *way) for way in ways]
    calls, made = 0, calls
    assert [_filled(budget, *way) for way in ways] == first
    assert calls == 0 < made
    # A search of its own works everything out, and finds the same.
    assert [_filled(unlimited(), *way) for way in ways] == first
    assert calls >= made
    assert len(first[0]) > len(first[1]) > SQUARE.quantity


def test_steps_are_spent_whether_or_not_something_is_known() -> None:
    budget = Budget(1_000.0)
    _filled(budget, Side.LEFT, 1.0)
    once = 1_000.0 - budget.left
    _filled(budget, Side.LEFT, 1.0)
    assert 1_000.0 - budget.left == pytest.approx(2.0 * once)
    assert once > 0.0


def test_the_last_answers_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("geometry.layout.recent._MOST", 2)
    recent, made = Recent(), list[str]()

    def make(question: str) -> str:
        made.append(question)
        return question.upper()

    def asked(question: str) -> str:
        return recent.known_or_made(question, lambda: make(question))

    assert [asked(each) for each in "abacab"] == list("ABACAB")
    # b went when c came, and c when b was asked for again.
    assert made == ["a", "b", "c", "b"]
