"""How many pieces of one kind go on each of several loads, so that all take the least material."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from geometry.layout.rows.row_figures import Values

#: Splits that are compared at most: pairs of counts, times the ways to share loads among them.
_MAX_SPLITS = 2_000_000
#: Shares of a sheet that differ by less are the same.
_SAME = 1e-7
#: Stands for the share of pieces that no strip holds: more than all loads together.
_TOO_MANY = 1e6

#: Pieces on a load, and how many loads hold so many; the fullest first.
Split: TypeAlias = tuple[tuple[int, int], ...]


def least_split(shares: Values, quantity: int, loads: int) -> tuple[float, Split] | None:
    """Return the least material for a quantity on so many loads, and how many each load holds.

    At most three different counts are used: two, each as often as wanted, and one load with what
    is left. Of splits that take the same the one of fewest different loads is returned, then the
    one with the fullest. ``None`` where the loads do not hold so many.

    Args:
        shares: of a sheet that 0, 1, 2 ... pieces take at least; infinite where too many.
        quantity: pieces in all.
        loads: how many.
    """
    held = np.flatnonzero(np.isfinite(shares))
    most = int(held[-1]) if len(held) else 0
    if most < 1 or not loads <= quantity <= loads * most or not splits_are_compared(most, loads):
        return None
    counts, known = np.arange(1, most + 1), np.where(np.isfinite(shares), shares, _TOO_MANY)
    one, other = counts[:, None], counts[None, :]
    best: tuple[float, int, int, Split] | None = None
    for repeats in range(loads):
        rest = quantity - repeats * one - (loads - 1 - repeats) * other
        fits = (rest >= 1) & (rest <= most) & (one >= other)
        # A count that no load holds is one of many that make the same split.
        if not repeats:
            fits &= one == other
        elif repeats == loads - 1:
            fits &= other == 1
        taken = repeats * known[one] + (loads - 1 - repeats) * known[other]
        taken = np.where(fits, taken + known[np.clip(rest, 0, most)], np.inf)
        if not np.isfinite(taken).any():
            continue
        for at in np.argwhere(taken <= float(taken.min()) + _SAME).tolist():
            split = _split(
                (at[0] + 1, repeats), (at[1] + 1, loads - 1 - repeats), (int(rest[at[0], at[1]]), 1)
            )
            found = (round(float(taken[at[0], at[1]]) / _SAME), len(split), -split[0][0], split)
            best = found if best is None or found < best else best
    return None if best is None or best[0] * _SAME >= _TOO_MANY else (best[0] * _SAME, best[3])


def splits_are_compared(most: int, loads: int) -> bool:
    """Return whether few enough pieces fit on so many loads for all their splits."""
    return loads * most * most <= _MAX_SPLITS


def _split(*parts: tuple[int, int]) -> Split:
    """Return counts with their loads, the fullest first and each count once."""
    found: dict[int, int] = {}
    for count, repeats in parts:
        if repeats:
            found[count] = found.get(count, 0) + repeats
    return tuple(sorted(found.items(), reverse=True))
