"""The cheapest way to have room for so many pieces on sheets of several kinds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm
from typing import NamedTuple

#: Steps of the exact search: pieces times parts that the sheets are divided into.
_MAX_STEPS = 300_000


@dataclass(frozen=True)
class Choice:
    """A kind of sheet: how many pieces one holds, how many there are, what one costs, its size."""

    held: int
    count: int
    cost: Fraction
    size: float


class _Cheapest(NamedTuple):
    """Of a number of pieces: cost, size and number of the sheets, and how they are made up."""

    cost: int
    size: float
    sheets: int
    part: int
    before: int


def cheapest_counts(quantity: int, choices: Sequence[Choice]) -> tuple[int, ...]:
    """Return how many sheets of each kind hold a quantity at the lowest cost.

    Of equally cheap ones the smallest sheets, then the fewest. All of them where they do not
    suffice.

    Source:
        The knapsack problem with bounded counts, solved exactly by dynamic programming over the
        quantity; counts are divided into powers of two. A textbook method (Martello and Toth,
        Knapsack Problems, Wiley 1990). Of very large quantities the bulk is taken from the sheets
        that cost least per piece.
    """
    left = [each.count for each in choices]
    if sum(each.held * each.count for each in choices) <= quantity:
        return tuple(left)
    taken = [0] * len(choices)
    by_price = sorted(range(len(choices)), key=lambda at: (choices[at].cost / choices[at].held, at))
    parts = sum(each.bit_length() for each in left)
    for at in by_price:
        exact = _MAX_STEPS // max(1, parts)
        bulk = max(0, min(left[at], (quantity - exact) // choices[at].held))
        taken[at] += bulk
        left[at] -= bulk
        quantity -= bulk * choices[at].held
    # Whole numbers in the same proportion are added faster.
    scale = lcm(*(each.cost.denominator for each in choices))
    rows = [
        replace(each, count=n, cost=each.cost * scale)
        for each, n in zip(choices, left, strict=True)
    ]
    found = _exact(quantity, rows)
    return tuple(bulk + more for bulk, more in zip(taken, found, strict=True))


def _exact(quantity: int, choices: Sequence[Choice]) -> list[int]:
    nothing = _Cheapest(0, 0.0, 0, -1, 0)
    best: list[_Cheapest | None] = [nothing] + [None] * quantity
    layers: list[list[_Cheapest | None]] = []
    parts = list(_parts(choices))
    for number, (at, count) in enumerate(parts):
        each = choices[at]
        layers.append(best)
        held, cost, size = each.held * count, int(each.cost) * count, each.size * count
        following = list(best)
        for had, known in enumerate(best):
            if known is None:
                continue
            then = min(quantity, had + held)
            found = _Cheapest(
                known.cost + cost, known.size + size, known.sheets + count, number, had
            )
            old = following[then]
            if then > had and (old is None or found[:3] < old[:3]):
                following[then] = found
        best = following
    return _made_up(quantity, best, layers, parts, len(choices))


def _made_up(
    quantity: int,
    best: Sequence[_Cheapest | None],
    layers: Sequence[Sequence[_Cheapest | None]],
    parts: Sequence[tuple[int, int]],
    kinds: int,
) -> list[int]:
    """Return the sheets of each kind that make up the cheapest, followed back part by part."""
    counts = [0] * kinds
    had, known = quantity, best[quantity]
    while known is not None and known.part >= 0:
        at, count = parts[known.part]
        counts[at] += count
        had = known.before
        known = layers[known.part][had]
    return counts


def _parts(choices: Sequence[Choice]) -> list[tuple[int, int]]:
    """Return parts of 1, 2, 4 ... sheets that give every count up to that of each kind."""
    parts = []
    for at, each in enumerate(choices):
        left, count = each.count, 1
        while left > 0:
            parts.append((at, min(count, left)))
            left -= count
            count *= 2
    return parts
