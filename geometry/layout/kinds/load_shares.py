"""Loads of a few kinds by how much of a sheet any numbers take: those that take least together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.item import Filling
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.task import Task

#: Loads above which nothing is shared out.
MAX_SHARED: Final = 8


def loads_of_one_kind(
    task: Task, quantities: Sequence[int]
) -> Iterator[tuple[tuple[int, ...], Filling]]:
    """Yield the loads of one kind that are known, with how many of each kind they hold.

    None with more of a kind than ``quantities``.
    """
    for at, item in enumerate(task.items):
        fillings = [
            known.filling for (piece, _), known in task.strips.items() if piece == item.piece
        ]
        for filling in (task.known.get(item.piece, ()), *fillings):
            if 0 < len(filling) <= quantities[at]:
                yield (
                    tuple(len(filling) if at == each else 0 for each in range(len(quantities))),
                    filling,
                )


def shared_out(shares: Values, max_loads: int) -> list[tuple[int, ...]] | None:
    """Return what each of the fewest loads holds so that their shares add up to the least."""
    one = np.where(shares <= 1.0 + SLACK, shares, np.inf)
    holds = np.argwhere(np.isfinite(one) & (one > 0.0))
    sums = [one]
    if np.isfinite(one.flat[-1]):
        return [tuple(each - 1 for each in one.shape)]
    for _ in range(max_loads - 1):
        last = _last_loads(one, sums, holds)
        if last is not None:
            return last
        least = np.full(one.shape, np.inf)
        for counts in holds:
            after = tuple(slice(int(each), None) for each in counts)
            before = tuple(
                slice(None, size - int(each)) for each, size in zip(counts, one.shape, strict=True)
            )
            np.minimum(least[after], sums[-1][before] + one[tuple(counts)], out=least[after])
        sums.append(least)
    return None


def _last_loads(
    one: Values, sums: Sequence[Values], holds: NDArray[np.int64]
) -> list[tuple[int, ...]] | None:
    """Return what one load more holds than the sums are of, and all others; ``None`` if too few."""
    left = np.array(one.shape) - 1
    found = []
    for before in reversed(sums):
        fits = holds[(holds <= left).all(axis=1)]
        shares = one[tuple(fits.T)] + before[tuple((left - fits).T)]
        if not np.isfinite(shares).any():
            return None
        counts = fits[int(shares.round(9).argmin())]
        found.append(tuple(counts.tolist()))
        left = left - counts
    return [*found, tuple(left.tolist())]
