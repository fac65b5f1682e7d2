"""Counts of pieces on several loads, against every way to share them out."""

from __future__ import annotations

import random
from itertools import combinations_with_replacement

import numpy as np
import pytest

from geometry.layout.one_kind.shared_out import least_split


@pytest.mark.parametrize("seed", range(30))
def test_no_way_to_share_pieces_out_takes_less(seed: int) -> None:
    """Three loads or fewer may all differ, so nothing is better than the best of all ways."""
    draw = random.Random(seed)  # noqa: S311 - no secret
    most, loads = draw.randint(1, 12), draw.randint(1, 3)
    quantity = draw.randint(loads, loads * most)
    steps = sorted(draw.choice((0.2, 0.35, 0.5, 0.8, 1.0)) for _ in range(most))
    shares = np.array([0.0, *steps, np.inf])
    ways = [
        counts
        for counts in combinations_with_replacement(range(1, most + 1), loads)
        if sum(counts) == quantity
    ]
    least = min((round(sum(shares[list(each)]), 6), len(set(each))) for each in ways)
    found = least_split(shares, quantity, loads)
    assert found is not None
    taken, split = found
    assert sum(count * repeats for count, repeats in split) == quantity
    assert sum(repeats for _, repeats in split) == loads
    assert taken == pytest.approx(sum(shares[count] * repeats for count, repeats in split))
    assert (round(taken, 6), len(split)) == least


def test_too_many_pieces_are_not_shared_out() -> None:
    assert least_split(np.array([0.0, 0.5, 1.0]), 7, 3) is None
    assert least_split(np.array([0.0, 0.5, 1.0]), 2, 3) is None
    # 3 pieces lie on no strip.
    assert least_split(np.array([0.0, 0.5, 1.0, np.inf]), 3, 1) is None
