"""What the layout search finds in fewer operations is what the plain ones find."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.layout.fitting.near_pairs import _first_line_at
from geometry.layout.rows.row_patterns import shape_of
from geometry.layout.rows.staircases import shortest_of_two, side_by_side
from geometry.layout.rows.step_patterns import StepFigures, step_patterns
from geometry.shapes.catalogue import build


@pytest.mark.parametrize("lines", [1, 12, 255, 300])
def test_the_first_of_the_lines_that_are_farthest_out_is_found(lines: int) -> None:
    numbers = np.random.default_rng(lines)
    # Few different numbers, so that many are alike.
    outside = numbers.integers(-3, 3, (lines, 50)) / 4.0
    found = _first_line_at(outside, outside.max(axis=0))
    assert found.tolist() == outside.argmax(axis=0).tolist()


def test_two_strips_are_chosen_as_one_split_after_another_would_be() -> None:
    numbers = np.random.default_rng(3)
    for most in (1, 2, 7, 40):
        lengths = np.concatenate([[0.0], np.sort(numbers.integers(1, 60, most))]) / 2.0
        lengths[lengths > 25.0] = np.inf
        best, first = lengths.copy(), np.arange(most + 1)
        for count in range(1, most + 1):
            for one in range(1, count // 2 + 1):
                both = lengths[count - one] + (lengths[one] + 0.5)
                if both < best[count] - 1e-6:
                    best[count], first[count] = both, one
        found, firsts = side_by_side(lengths, 0.5)
        assert found.tolist() == best.tolist()
        assert firsts.tolist() == first.tolist()
        shortest = [shortest_of_two(lengths, count, 0.5) for count in range(1, most + 1)]
        assert shortest == pytest.approx(best[1:].tolist())


@pytest.mark.parametrize("kind", ["hexagon", "triangle", "octagon"])
def test_a_single_way_has_as_many_short_rows_as_among_others(kind: str) -> None:
    shape = shape_of(build(kind, {"side": 20.0}), 1.0)
    ways = [way for turn in (0.0, 30.0) for way in step_patterns(shape, turn, 150.0, loose=True)]
    counts = np.arange(1, 41)
    heights = StepFigures.of(ways).heights(counts)
    for at, way in enumerate(ways):
        assert way.heights(counts).tolist() == heights[:, at].min(axis=0).tolist()
        short = [way.short_rows(count) for count in counts.tolist()]
        assert short == heights[:, at].argmin(axis=0).tolist()
