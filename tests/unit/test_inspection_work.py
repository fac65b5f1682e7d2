"""The work of an inspection is bounded: counted in steps, never in seconds."""

from __future__ import annotations

import math
import random
import tracemalloc

import numpy as np
import pytest

from geometry.inspection import StepBudget, inspect
from geometry.inspection.crossings import meeting_shares
from geometry.inspection.work import MAX_STEPS
from geometry.intersect import meet
from geometry.model.outline import Chain, Outline, Vertex
from geometry.model.points import Point
from geometry.model.segments import segment
from geometry.segment_pairs import Segments


def polygon(corners: int, radius: float, x: float = 0.0) -> Outline:
    turns = [math.tau * k / corners for k in range(corners)]
    return Outline(tuple(Vertex(x + radius * math.cos(t), radius * math.sin(t)) for t in turns))


def circle(radius: float, x: float, y: float) -> Outline:
    return Outline((Vertex(x + radius, y, 1.0), Vertex(x - radius, y, 1.0)))


def nested() -> list[Outline]:
    return [polygon(300, 100.0 - 5.0 * k) for k in range(16)]


def overlapping() -> list[Outline]:
    rng = random.Random(20)  # noqa: S311 - a drawing, no secret
    return [circle(50.0, 20.0 * rng.random(), 20.0 * rng.random()) for _ in range(300)]


def test_sixteen_nested_polygons_are_measured_in_full() -> None:
    """Nested regular 300-gons of radii 5 mm apart: 5 cos(pi / 300) = 4.999726 mm between edges."""
    work = StepBudget()
    found = inspect(nested(), work=work)
    assert work.is_complete
    assert found.overlaps == ()
    assert [each.inside for each in found.outlines] == [None, *range(15)]
    assert len(found.allowances) == 15
    for each in found.allowances:
        assert each.min_mm == pytest.approx(5.0 * math.cos(math.pi / 300), abs=1e-6)


def test_three_hundred_overlapping_circles_are_measured_in_full() -> None:
    """Any two of 300 circles of one size cross, if less than a diameter apart: 300 x 299 / 2."""
    work = StepBudget()
    found = inspect(overlapping(), work=work)
    assert work.is_complete
    assert len(found.overlaps) == 44_850
    assert len(found.groups) == 1
    assert all(each.inside is None for each in found.outlines)


def test_it_takes_little_memory() -> None:
    outlines = overlapping()[:100]
    tracemalloc.start()
    inspect(outlines)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 64 * 2**20


def test_lines_that_meet_after_others_that_do_not_take_little_memory() -> None:
    """1,984 lines apart, which make the next look longer, then 3,000 diameters of one circle."""
    apart = [Chain((Vertex(9.0 * k, 0.0), Vertex(9.0 * k + 4.0, 3.0))) for k in range(1_984)]
    turns = [math.pi * k / 3_000 for k in range(3_000)]
    ends = [(90.0 * math.cos(t), 90.0 * math.sin(t) + 200.0) for t in turns]
    across = [Chain((Vertex(x, y), Vertex(-x, 400.0 - y))) for x, y in ends]
    tracemalloc.start()
    inspect([], [*apart, *across])
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 96 * 2**20


def test_past_the_limit_an_answer_says_so() -> None:
    work = StepBudget(limit=100_000)
    found = inspect(overlapping(), work=work)
    assert work.done <= work.limit
    assert not work.is_complete
    assert "not all of them were compared" in found.warnings[-1]


def test_a_tangle_of_lines_stays_within_the_limit() -> None:
    lines = [Chain((Vertex(0, 0.01 * k), Vertex(500, 500 - 0.1 * k))) for k in range(1_500)]
    work = StepBudget()
    inspect([], lines, work=work)
    assert work.done <= MAX_STEPS


def test_a_line_over_an_outline_is_a_duplicate() -> None:
    """The line runs along 6 of the square's 10 mm; the arc along half of the circle of 5 mm."""
    square = Outline((Vertex(0, 0), Vertex(10, 0), Vertex(10, 10), Vertex(0, 10)))
    line = Chain((Vertex(12, 0), Vertex(4, 0)))
    arc = Chain((Vertex(45, 0, -1.0), Vertex(35, 0)))
    beside = Chain((Vertex(0, -0.2), Vertex(10, -0.2)))
    found = inspect([square, circle(5, 40, 0)], [line, arc, beside])
    lengths = {(first, second): length for first, second, length in found.duplicate_lines}
    assert lengths == pytest.approx({(0, 2): 6.0, (1, 3): math.pi * 5})


def test_crossings_in_arrays_agree_with_one_pair_at_a_time() -> None:
    rng = random.Random(8)  # noqa: S311 - as above

    def drawn() -> list[tuple[Point, Point, float]]:
        bulges = (0.0, 0.0, rng.uniform(-1, 1), 1.0)
        return [
            (
                Point(rng.uniform(0, 9), rng.uniform(0, 9)),
                Point(rng.uniform(0, 9), rng.uniform(0, 9)),
                rng.choice(bulges),
            )
            for _ in range(1_500)
        ]

    parts = [segment(*each) for each in drawn()]
    table = Segments([[part] for part in parts])
    one, other = np.arange(0, 1_500, 2), np.arange(1, 1_500, 2)
    found = meeting_shares(table, one, other)
    met_at_all = 0
    for row, (a, b) in enumerate(zip(one.tolist(), other.tolist(), strict=True)):
        wanted = sorted((c.first, c.second) for c in meet(parts[a], parts[b]).crossings)
        shares = sorted(
            (float(first[row]), float(second[row]))
            for first, second, _ in found
            if math.isfinite(first[row]) and math.isfinite(second[row])
        )
        assert np.array(shares) == pytest.approx(np.array(wanted), abs=1e-6), (parts[a], parts[b])
        met_at_all += bool(wanted)
        assert table_pairs(parts[a], parts[b]) or not wanted
    assert met_at_all > 100


def table_pairs(first: object, second: object) -> list[object]:
    table = Segments([[first], [second]])  # type: ignore[list-item]
    return list(table.near_pairs(0.0))
