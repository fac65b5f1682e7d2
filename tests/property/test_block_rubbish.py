"""Drawings from nearly right to rubbish: a block that adds up, or a refusal, and nothing else."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.property.block_rubbish import check


@pytest.mark.parametrize("begin", range(0, 60, 20))
def test_random_drawings_give_a_block_or_a_refusal(begin: int) -> None:
    outcomes = Counter(check(seed) for seed in range(begin, begin + 20))
    # Neither always one nor always the other.
    assert min(outcomes["block"], outcomes["refused"]) > 0


@pytest.mark.long
def test_many_random_drawings_give_a_block_or_a_refusal() -> None:
    """Several hundred; for ten minutes of them see ``block_rubbish``."""
    for seed in range(1_000, 1_400):
        check(seed)
