"""Strips of two widths for one size: the number of each that takes the least length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

#: Decimals of mm to which lengths are equal.
_DECIMALS = 6


class StripKind(NamedTuple):
    """Strips of one width, mm, and how many pieces each of them holds."""

    height: float
    held: int


class Mix(NamedTuple):
    """Strips of two kinds: the positions of both, how many of each, and their length, mm."""

    first: int
    second: int
    firsts: int
    seconds: int
    length: float


def shortest_mix(count: int, kinds: Sequence[StripKind]) -> Mix | None:
    """Return the strips of two kinds that hold so many pieces on the least length.

    Args:
        count: of pieces.
        kinds: of strips; each holds a piece.

    Returns:
        ``None`` where no two kinds are both needed.
    """
    found = [
        mix
        for first, second in combinations(range(len(kinds)), 2)
        for mix in _mixes(count, kinds, first, second)
    ]
    return min(found, key=lambda each: (round(each.length, _DECIMALS), each), default=None)


def _mixes(count: int, kinds: Sequence[StripKind], first: int, second: int) -> Iterator[Mix]:
    """Yield the mixes of two kinds that can be the shortest.

    Of the kind that holds less on its length there are fewer than a strip of the other holds:
    as many of them as that hold no more than strips of the other that are no longer.
    """
    loose, dense = sorted((first, second), key=lambda at: -kinds[at].height / kinds[at].held)
    for looses in range(1, kinds[dense].held):
        left = count - looses * kinds[loose].held
        if left <= 0:
            return
        denses = -(-left // kinds[dense].held)
        length = looses * kinds[loose].height + denses * kinds[dense].height
        yield Mix(loose, dense, looses, denses, length)
