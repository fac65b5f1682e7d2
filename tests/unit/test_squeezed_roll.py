"""Pieces on a roll are squeezed onto the length that is worked out by hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import cycle as repeating
from itertools import islice

import numpy as np
import pytest

from geometry.layout.effort import Budget, SearchEnded
from geometry.layout.fitting.bottom_left import Placed, Variant
from geometry.layout.fitting.part_pairs import PartPairs, part_count
from geometry.layout.nesting import squeezed_roll
from geometry.layout.nesting.squeezed_roll import squeezed
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load
from geometry.proof.overlap import check_load

#: 20 mm wide, from 3, 5 on.
ROLL = WorkArea.roll(3.0, 5.0, 20.0)


def _box(width: float, height: float) -> Outline:
    return Outline.of([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


#: 10 by 10 mm without its upper right quarter.
ELL = Outline.of([(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (5.0, 5.0), (5.0, 10.0), (0.0, 10.0)])


def _length(
    at: Sequence[tuple[Outline, float, float, float]], gap: float, *, stirred: bool = False
) -> float:
    """Return the length of roll that pieces take when they were squeezed, proved to be sound."""
    outlines = {f"p{number}": each[0] for number, each in enumerate(at)}
    placed = [
        Placed(piece, Variant(turn, outline), ROLL.bounds.left + x, ROLL.bounds.bottom + y)
        for piece, (outline, turn, x, y) in zip(outlines, at, strict=True)
    ]
    with suppress(SearchEnded):
        budget = Budget(2_000.0)
        for found in squeezed(placed, ROLL, gap=gap, seed=1, budget=budget, stirred=stirred):
            placed = found
    assert [each.variant.turn_deg for each in placed] == [each[1] for each in at]
    assert check_load(outlines, Load(tuple(each.placement for each in placed)), ROLL, gap) == []
    ends = (each.x + each.variant.outline.bounds.right for each in placed)
    return max(ends) - ROLL.bounds.left


@pytest.mark.parametrize(("gap", "length"), [(0.0, 19.8), (1.0, 18.8)])
def test_four_pieces_two_by_two(gap: float, length: float) -> None:
    """Two rows of two squares 9.9 mm wide take 19.8 mm; 8.9 mm wide with a gap of 1 mm 18.8."""
    side = 9.9 - gap
    at = [(_box(side, side), 0.0, x, y) for x in (0.0, 14.0) for y in (0.0, 10.0 + gap / 2.0)]
    assert _length(at, gap) == pytest.approx(length, rel=2e-4)


def test_hollow_pieces_go_into_each_other() -> None:
    """An L turned by 180 degrees goes onto the other, its arm in the hollow: 10 mm long, 15 high.

    It misses its quarter below left, where the other has its arm, and fills the other's hollow.
    """
    at = [(ELL, 0.0, 0.0, 0.0), (ELL, 180.0, 22.0, 15.5)]
    assert _length(at, 0.0) == pytest.approx(10.0, rel=2e-4)


def test_a_low_piece_goes_above_a_high_one() -> None:
    """Of 20 mm, 12 and 7.5 go above each other: pieces 10 mm long take 20 mm of roll, not 30.

    One low piece lies above the first high one, the other behind the second.
    """
    high, low = _box(10.0, 12.0), _box(10.0, 7.5)
    at = [(high, 0.0, 0.0, 0.0), (low, 0.0, 0.0, 12.2)]
    at += [(high, 0.0, 10.1, 0.0), (low, 0.0, 20.2, 0.0)]
    assert _length(at, 0.0) == pytest.approx(30.0, rel=2e-4)
    assert _length(at, 0.0, stirred=True) == pytest.approx(20.0, rel=2e-4)


def test_parts_of_hollow_pieces() -> None:
    """A hollow piece is more than one part. At 10, 15 the turned one touches the other.

    1 mm farther left its arm, 5 mm wide and as high, reaches 1 mm into the other's.
    """
    turned = Variant(180.0, ELL).outline
    assert part_count([_box(1.0, 1.0), _box(2.0, 1.0)]) == 2
    pairs = PartPairs([ELL, turned], 0.0)
    found = [pairs.deepest(np.array([[0.0, 0.0], [x, 15.0]])) for x in (10.0, 9.0)]
    assert found == pytest.approx([0.0, 1.0], abs=1e-4)


def test_a_roll_as_long_as_its_longest_piece_is_not_stirred_for_ever(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No layout is shorter than a piece of 30 mm: two of them, 9 mm high, end the search at once.

    Tries on a shorter roll cost no steps, so that no budget ended them.
    """

    def few(ways: Iterable[object]) -> Iterator[object]:
        yield from islice(repeating(ways), 100)
        pytest.fail("the search goes on although no shorter roll can hold the pieces")

    monkeypatch.setattr(squeezed_roll, "cycle", few)
    at = [(_box(30.0, 9.0), 0.0, 0.0, y) for y in (0.0, 10.0)]
    assert _length(at, 0.0, stirred=True) == pytest.approx(30.0)
