"""How often loads of columns are repeated so that they hold an order and take least together.

Repeats are parts of loads here; who asks takes whole ones.

Source:
    Column generation: P. C. Gilmore and R. E. Gomory, "A linear programming approach to the cutting
    stock problem", Operations Research 9 (1961), part II ibid. 11 (1963), of two stages ibid. 13
    (1965). A linear program says what a piece of each kind is worth, a knapsack which load is worth
    more than it takes; that load enters the program. From memory. The program has one row for each
    kind and one for the loads, and is solved by the revised simplex method.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.layout.columns.column_direction import ColumnDirection
from geometry.layout.columns.column_prices import most_valuable
from geometry.layout.effort import Budget
from geometry.layout.item import Filling
from geometry.layout.rows.row_figures import Values

#: What a piece that is left out costs: far more than a load.
_LEFT_OUT: Final = 1.0e3
#: Loads that enter the program one after the other, and bases of each, at most: both end sooner.
_MAX_ROUNDS: Final = 60
_MAX_BASES: Final = 300
#: Steps for each round. Own measurement.
_STEPS_PER_ROUND: Final = 1.0
#: A load enters when it saves more than this share of a sheet.
_LEAST_SAVED: Final = 1e-7
#: Parts of loads that are none, and decimals to which costs are compared.
_NONE: Final = 1e-9
_DECIMALS: Final = 10


@dataclass(frozen=True)
class LoadPattern:
    """What a load holds of each kind, the share of its sheet, and what lays it.

    ``columns`` are in a direction; a load without any is the filling.
    """

    counts: tuple[int, ...]
    share: float
    direction: ColumnDirection | None = None
    columns: tuple[tuple[float, tuple[int, ...]], ...] = ()
    filling: Filling = ()

    def laid(self, counts: Sequence[int]) -> Filling:
        """Return the load with no more than so many of each kind."""
        if self.direction is None:
            return self.filling[: sum(counts)]
        left, columns = list(counts), []
        for width, held in self.columns:
            taken = tuple(min(pair) for pair in zip(left, held, strict=True))
            left = [before - each for before, each in zip(left, taken, strict=True)]
            columns.append((width, taken))
        return self.direction.placed(columns, 0.0, 0.0)[0]


class LoadProgram:
    """Loads of which all that is wanted is made up.

    Attributes:
        patterns: the loads that are known; ever more of them.
    """

    def __init__(
        self, directions: Sequence[ColumnDirection], known: Sequence[LoadPattern], budget: Budget
    ) -> None:
        self.patterns = list(known)
        self._directions, self._budget = directions, budget

    def fewest(self, wanted: Sequence[int]) -> float:
        """Return the fewest loads, a part counted as such, that hold all that is wanted."""
        return sum(self._solved(wanted, float(sum(wanted)), by_share=False).values())

    def least(self, wanted: Sequence[int], most: float) -> Mapping[int, float]:
        """Return how often each pattern is taken: the least material on at most so many loads.

        Nothing where that many do not hold all.
        """
        return self._solved(wanted, most, by_share=True)

    def material(self, repeats: Mapping[int, float]) -> float:
        """Return the shares of all sheets that patterns so often repeated take together."""
        return sum(self.patterns[at].share * often for at, often in repeats.items())

    def _solved(self, wanted: Sequence[int], most: float, *, by_share: bool) -> Mapping[int, float]:
        kinds = len(wanted)
        # Pieces that are left out, pieces too many, and loads that are not needed.
        fixed = np.hstack((np.eye(kinds + 1)[:, :kinds], -np.eye(kinds + 1)))
        fixed[kinds, -1] = 1.0
        basis = [*range(kinds), 2 * kinds]
        needed = np.array([*wanted, most], dtype=float)
        amounts = needed
        for _ in range(_MAX_ROUNDS):
            self._budget.spend(_STEPS_PER_ROUND)
            held = np.array([(*each.counts, 1) for each in self.patterns], dtype=float)
            table = np.hstack((fixed, held.reshape(-1, kinds + 1).T))
            costs = np.zeros(table.shape[1])
            costs[:kinds] = _LEFT_OUT
            costs[2 * kinds + 1 :] = [each.share if by_share else 1.0 for each in self.patterns]
            amounts, prices = _least_cost(costs, table, needed, basis)
            if not self._entered(prices, by_share=by_share):
                break
        found = {at - 2 * kinds - 1: float(amounts[n]) for n, at in enumerate(basis)}
        if any(amounts[n] > _NONE for n, at in enumerate(basis) if at < kinds):
            return {}
        return {at: often for at, often in found.items() if at >= 0 and often > _NONE}

    def _entered(self, prices: Values, *, by_share: bool) -> bool:
        """Let the load of each direction enter that is worth most; return whether any did."""
        *of_kinds, of_load = prices.tolist()
        entered = False
        for each in self._directions:
            counts, widths = each.patterns.counts, each.patterns.widths
            if not len(widths):
                continue
            per_length = each.share(1.0) - each.share(0.0) if by_share else 0.0
            fixed = each.share(0.0) if by_share else 1.0
            values = counts @ np.array(of_kinds) - per_length * widths
            worth, chosen = most_valuable(widths, values.round(12), each.length)
            if not chosen or worth + of_load - fixed <= _LEAST_SAVED:
                continue
            columns = tuple((float(widths[at]), tuple(counts[at].tolist())) for at in chosen)
            held = tuple(counts[chosen].sum(axis=0).tolist())
            share = each.share(float(widths[chosen].sum()))
            self.patterns.append(LoadPattern(held, share, each, columns))
            entered = True
        return entered


def _least_cost(
    costs: Values, table: Values, needed: Values, basis: list[int]
) -> tuple[Values, Values]:
    """Return the amounts of the basis that costs least, and the price of each row.

    ``basis`` is one to begin with; it is changed to the one that costs least.
    """
    amounts = prices = np.zeros(len(needed))
    for _ in range(_MAX_BASES):
        inside = table[:, basis]
        amounts, prices = _solved(inside, needed), _solved(inside.T, costs[basis])
        saved = (prices @ table - costs).round(_DECIMALS)
        enters = int(saved.argmax())
        if saved[enters] <= _NONE:
            break
        change = _solved(inside, table[:, enters])
        ratio = np.full(len(basis), np.inf)
        falls = change > _NONE
        ratio[falls] = np.maximum(amounts[falls], 0.0) / change[falls]
        # Of several the first column leaves, which never comes round to the same basis for long.
        leaves = min(
            np.flatnonzero(ratio.round(_DECIMALS) <= ratio.min().round(_DECIMALS)),
            key=lambda at: basis[at],
        )
        basis[int(leaves)] = enters
    return amounts, prices


def _solved(sides: Values, right: Values) -> Values:
    """Return the solution of linear equations."""
    found: Values = np.linalg.solve(sides, right).astype(np.float64)
    return found
