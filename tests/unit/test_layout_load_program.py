"""Loads of columns: the one that is worth most, and how often each is repeated."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from geometry.layout.columns.column_direction import ColumnDirection
from geometry.layout.columns.column_prices import most_valuable
from geometry.layout.columns.kind_columns import KindColumns
from geometry.layout.columns.load_program import LoadProgram
from geometry.layout.effort import Budget, SearchEnded, unlimited
from geometry.model.cutter import WorkArea
from tests.plain_items import rectangle, square


@pytest.mark.parametrize("length", [2.0, 5.0, 10.0, 11.0, 12.5])
def test_the_columns_worth_most_are_those_of_trying_everything(length: float) -> None:
    widths = np.array([3.0, 4.0, 5.0, 7.5, 4.0])
    values = np.array([2.9, 4.1, 5.3, -1.0, 4.0])
    most = max(
        float(np.dot(counts, values))
        for counts in product(range(5), repeat=5)
        if np.dot(counts, widths) <= length
    )
    found, chosen = most_valuable(widths, values, length)
    assert found == pytest.approx(most)
    assert float(values[chosen].sum()) == pytest.approx(most)
    assert float(widths[chosen].sum()) <= length


def test_nothing_is_chosen_where_no_column_is_worth_anything() -> None:
    assert most_valuable(np.array([3.0]), np.array([-1.0]), 10.0) == (0.0, [])


def _program(budget: Budget) -> LoadProgram:
    """Return squares of 50 mm and rectangles of 70 by 50 on 100 by 120 mm."""
    room = WorkArea.rectangle(0.0, 0.0, 100.0, 120.0)
    kinds = [square("S", 50.0, 4), rectangle("R", 70.0, 50.0, 2)]
    directions = [
        ColumnDirection.of(
            [KindColumns(item, [], room, 0.0, from_left, every_width=True) for item in kinds]
        )
        for from_left in (True, False)
    ]
    return LoadProgram(directions, [], budget)


def test_parts_of_loads_by_hand() -> None:
    """A column [50: a square and one standing, 120] twice: 2 and 2 on a load, all of it used.

    Of 4 squares on a load each takes a quarter of 100 mm of 120: 2 and a half loads hold 6 and 4,
    the part of one with 2 squares is half a load, of which 100 of 120 mm are used.
    """
    program = _program(unlimited())
    assert program.fewest((6, 4)) == pytest.approx(2.5)
    repeats = program.least((6, 4), 3.0)
    assert program.material(repeats) == pytest.approx(2.0 + 0.5 * 100.0 / 120.0)
    assert all(any(program.patterns[at].counts) for at in repeats)


def test_too_few_loads_hold_nothing() -> None:
    assert not _program(unlimited()).least((6, 4), 2.0)


def test_a_load_is_laid_without_what_is_not_left() -> None:
    program = _program(unlimited())
    program.fewest((2, 2))
    (pattern,) = [each for each in program.patterns if each.counts == (2, 2)]
    assert sorted(each.piece for each in pattern.laid((2, 1))) == ["R", "S", "S"]


def test_a_program_takes_steps() -> None:
    with pytest.raises(SearchEnded):
        _program(Budget(1.5)).fewest((6, 4))
