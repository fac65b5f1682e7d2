"""The cheapest sheets for a number of pieces, beside every combination tried."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

from geometry.layout.stock.knapsack import Choice, cheapest_counts


def _brute(quantity: int, choices: list[Choice]) -> tuple[Fraction, float, int] | None:
    found = []
    for counts in product(*(range(each.count + 1) for each in choices)):
        rows = list(zip(choices, counts, strict=True))
        if sum(each.held * n for each, n in rows) >= quantity:
            cost = sum((each.cost * n for each, n in rows), Fraction(0))
            found.append((cost, sum(each.size * n for each, n in rows), sum(counts)))
    return min(found, default=None)


def test_no_combination_is_cheaper() -> None:
    """300 random stocks of up to four kinds: cost, then size, then number, as by trying all."""
    draw = random.Random(17)  # noqa: S311 - no secret
    for _ in range(300):
        choices = [
            Choice(
                draw.randint(1, 12),
                draw.randint(1, 5),
                Fraction(draw.randint(0, 40), 20),
                float(draw.randint(1, 9)),
            )
            for _ in range(draw.randint(1, 4))
        ]
        quantity = draw.randint(1, 60)
        counts = cheapest_counts(quantity, choices)
        rows = list(zip(choices, counts, strict=True))
        best = _brute(quantity, choices)
        if best is None:
            assert counts == tuple(each.count for each in choices)
            continue
        assert sum(each.held * n for each, n in rows) >= quantity
        cost = sum((each.cost * n for each, n in rows), Fraction(0))
        assert (cost, sum(each.size * n for each, n in rows), sum(counts)) == best


def test_a_large_order_takes_the_bulk_from_the_cheapest() -> None:
    """1,000,003 pieces: 10 of a kind for 1.00, 9 for 0.95: the first costs less per piece."""
    choices = [
        Choice(10, 10**6, Fraction(1), 1.0),
        Choice(9, 10**6, Fraction(95, 100), 1.0),
        Choice(3, 5, Fraction(1, 10), 1.0),
    ]
    counts = cheapest_counts(1_000_003, choices)
    # 5 of the third for 15 pieces at 0.50; 999,988 are left: 99,997 of the first hold 999,970, and
    # two of the second the other 18 for 1.90. One more of the first, with one of the second for 8
    # pieces, costs 1.95.
    assert counts == (99_997, 2, 5)
