# ruff: noqa: S311 - drawings, no secrets
"""Areas, lengths, middles and boxes of many rings at once, beside those of one."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from geometry.blocks.ring_table import RingTable
from geometry.measure import area, centroid, perimeter
from geometry.model.outline import Outline


def _ring(rng: random.Random) -> Outline:
    """Return a ring round a place far away; some of its sides are bent."""
    count, x, y = rng.randint(2, 9), rng.uniform(-900, 900), rng.uniform(-900, 900)
    bends = (0.0, 0.0, 1.0, 1e-4, -1e-4, rng.uniform(-0.3, 1.0))
    turns = sorted(rng.uniform(0, math.tau) for _ in range(count))
    return Outline.of(
        [
            (x + 50 * math.cos(turn), y + 50 * math.sin(turn), 0.6 if count == 2 else bend)
            for turn in turns
            for bend in [rng.choice(bends)]
        ]
    )


def test_many_rings_are_measured_as_one_is() -> None:
    rng = random.Random(5)
    rings = [_ring(rng) for _ in range(400)]
    # A circle of radius 2 as two halves, and a square: 4 pi at (1, 0), and 9 at (1.5, 1.5).
    rings += [Outline.of([(-1, 0, 1), (3, 0, 1)]), Outline.of([(0, 0), (3, 0), (3, 3), (0, 3)])]
    table = RingTable.of(rings)
    assert table.areas[-2:] == pytest.approx([4 * math.pi, 9.0])
    assert table.lengths[-2:] == pytest.approx([4 * math.pi, 12.0])
    assert table.centroids[-2:] == pytest.approx(np.array([[1.0, 0.0], [1.5, 1.5]]))
    assert table.areas == pytest.approx([area(each) for each in rings], rel=1e-9, abs=1e-9)
    assert table.lengths == pytest.approx([perimeter(each) for each in rings], rel=1e-12)
    middles = np.array([centroid(each) for each in rings])
    assert table.centroids == pytest.approx(middles, rel=1e-6, abs=1e-6)
    assert table.outlines() == rings
    assert list(table.have_arcs) == [each.has_arcs for each in rings]
    sides = [part.length for each in rings for part in each.segments]
    assert table.side_lengths == pytest.approx(sides, rel=1e-12)
    for ring, box in zip(rings, table.boxes().tolist(), strict=True):
        if not ring.has_arcs:
            assert box == list(ring.bounds)
