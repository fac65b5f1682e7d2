"""Common edges and the strokes that cover them once, worked by hand."""

import itertools
import random

import pytest

from geometry.model.outline import Outline
from geometry.model.plan import Stroke
from geometry.model.points import Point, distance
from geometry.model.segments import Line
from geometry.toolpath.one_cut import cut_once
from geometry.toolpath.shared_edges import SharedEdge, shared_edges
from geometry.toolpath.ties import Ties
from geometry.toolpath.trails import odd_corners, trails, vertices_of


def square(x: float, y: float, side: float) -> Outline:
    return Outline.of([(x, y), (x + side, y), (x + side, y + side), (x, y + side)])


def cut(outline: Outline, placement: int = 0) -> Stroke:
    return Stroke("cut", outline.vertices, closed=True, piece="A", placement=placement)


@pytest.mark.parametrize("off", [4e-6, -4e-6])
@pytest.mark.parametrize("at", [k * 1.3e-6 for k in range(10)])
def test_edges_that_differ_by_rounding_are_one(off: float, at: float) -> None:
    for dx, dy in ((off, 0.0), (0.0, off)):
        first = cut(square(at, at, 20))
        second = cut(square(at + 20.0 + dx, at + dy, 20), 1)
        edges = shared_edges([first, second])
        assert len(edges) == 7
        assert [each.owners for each in edges].count((0, 1)) == 1


def test_crossing_outlines_are_split_where_they_cross() -> None:
    # derived: two long sides of each in three parts, and two short ones
    level = cut(Outline.of([(0, 10), (30, 10), (30, 20), (0, 20)]))
    upright = cut(Outline.of([(10, 0), (20, 0), (20, 30), (10, 30)]), 1)
    edges = shared_edges([level, upright])
    assert [each.owners for each in edges] == [(0,)] * 8 + [(1,)] * 8
    assert sum(each.part.length for each in edges) == pytest.approx(160.0)


def test_a_stroke_runs_straight_on_where_two_squares_touch() -> None:
    edges = shared_edges([cut(square(0, 0, 10)), cut(square(10, 10, 10), 1)])
    (row,) = trails(edges)
    vertices, closed = vertices_of([part for _, part in row])
    assert closed
    # derived: the sides that meet at (10, 10) are two lines of 20 mm
    assert len(vertices) == 6


@pytest.mark.parametrize("mixed", [False, True])
def test_a_ladder_of_more_odd_corners_than_are_paired_by_distance(mixed: bool) -> None:
    # derived: all corners of a ladder but its four last are odd; half as many strokes
    rungs = 610
    number = list(range(2 * rungs))
    if mixed:
        random.Random(1).shuffle(number)  # noqa: S311 - no secret
    edges = []
    for k in range(rungs):
        left, right = Point(0.0, float(k)), Point(5.0, float(k))
        edges.append(SharedEdge(Line(left, right), (number[2 * k], number[2 * k + 1]), (0,)))
        if k:
            for side, x in ((0, 0.0), (1, 5.0)):
                below, above = Point(x, k - 1.0), Point(x, float(k))
                ends = (number[2 * k - 2 + side], number[2 * k + side])
                edges.append(SharedEdge(Line(below, above), ends, (0,)))
    assert len(odd_corners(edges)) == 2 * rungs - 4
    found = trails(edges)
    assert len(found) == rungs - 2
    assert sorted(number for row in found for number, _ in row) == list(range(len(edges)))
    for row in found:
        for (_, one), (_, following) in itertools.pairwise(row):
            assert one.end == following.start
    # the tool travels across one rung, or two, to the next stroke
    for row, after in itertools.pairwise(found):
        assert distance(row[-1][1].end, after[0][1].start) < 11.0


def test_ties_that_part_lines_are_told() -> None:
    # derived: one tie opens a square, two part it; a common side holds both pieces
    (found,), warnings = cut_once([cut(square(0, 0, 20))], Ties(1), 0.0)
    assert (found.closed, warnings) == (False, ())
    assert found.length == pytest.approx(79.5)
    strokes, warnings = cut_once([cut(square(0, 0, 20))], Ties(2), 0.0)
    assert len(strokes) == 2
    assert warnings == ("The ties part the common lines: 2 strokes instead of 1 without.",)
    assert sum(each.length for each in strokes) == pytest.approx(79.0)
    pair = [cut(square(0, 0, 20)), cut(square(20, 0, 20), 1)]
    assert cut_once(pair, None, 0.0)[1] == ()
    assert sum(each.length for each in cut_once(pair, None, 0.0)[0]) == pytest.approx(140.0)
