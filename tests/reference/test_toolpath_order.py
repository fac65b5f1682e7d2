"""The order of strokes against trying every order there is."""

import itertools
import random

import pytest

from geometry.model.outline import Operation, Vertex
from geometry.model.plan import Part, Stroke
from geometry.model.points import Point
from geometry.toolpath.order import ordered, travel
from geometry.toolpath.route import BEST, NORMAL, QUICK, Search, shortest_way
from geometry.toolpath.route_neighbours import Ends, nearest_first, neighbours, padded


def scattered(lots: random.Random, count: int) -> list[list[Ends]]:
    found: list[list[Ends]] = []
    for _ in range(count):
        at = complex(lots.uniform(0, 100), lots.uniform(0, 100))
        if lots.random() < 0.5:
            places = [at + 10 * complex(lots.random(), lots.random()) for _ in range(3)]
            found.append([(place, place) for place in places])
        else:
            other = at + complex(lots.uniform(-20, 20), lots.uniform(-20, 20))
            found.append([(at, other), (other, at)])
    return found


def way(options: list[list[Ends]], order: list[tuple[int, int]]) -> float:
    total, at = 0.0, 0j
    for stroke, entry in order:
        begin, end = options[stroke][entry]
        total += abs(begin - at)
        at = end
    return total


def shortest(options: list[list[Ends]]) -> float:
    """Return the least travel, every order and every entry tried (entries one by one)."""
    best = float("inf")
    for order in itertools.permutations(range(len(options))):
        costs = [(0.0, 0j)]
        for stroke in order:
            costs = [
                (min(cost + abs(begin - at) for cost, at in costs), end)
                for begin, end in options[stroke]
            ]
        best = min(best, *(cost for cost, _ in costs))
    return best


@pytest.mark.parametrize("seed", range(20))
def test_small_loads_against_every_order(seed: int) -> None:
    lots = random.Random(seed)  # noqa: S311 - no secret
    options = scattered(lots, 6)
    found = shortest_way(options, 0j)
    assert sorted(stroke for stroke, _ in found) == list(range(6))
    assert way(options, found) <= shortest(options) * 1.05 + 1e-9


#: Starts and ends of strokes, mm, by chance. The way to the nearest each time is longer than need
#: be; to reverse a part of it, or to move up to three strokes, shortens it, and however that is
#: repeated, it ends with the shortest way: all chains of such changes were tried.
IMPROVABLE = [
    [(0, 6, 0, 6), (4, 3, 4, 3), (8, 2, 10, 3), (7, 2, 7, 2), (9, 2, 9, 2)],
    [(1, 9, -2, 12), (1, 3, -3, 2), (5, 7, 9, 9)],
    [(5, 7, 9, 9), (8, 2, 12, 6), (0, 7, -4, 5), (2, 2, 2, 2), (1, 8, 1, 8)],
    [(6, 3, 6, 3), (7, 5, 3, 5), (7, 4, 7, 4), (9, 5, 9, 5), (5, 5, 5, 5)],
    [(7, 2, 7, 2), (5, 8, 1, 7), (3, 7, 1, 8), (8, 9, 9, 13)],
    [(5, 9, 5, 9), (7, 1, 7, 4), (1, 0, 1, 3), (4, 6, 5, 2), (7, 5, 7, 5)],
    [(2, 6, -2, 4), (0, 1, 0, 3), (2, 0, 2, 0), (6, 8, 6, 7), (4, 0, 4, 0)],
    [(3, 9, 3, 9), (8, 4, 8, 5), (3, 7, 7, 6), (0, 6, 0, 2)],
    [(6, 6, 9, 2), (0, 0, 0, 0), (8, 0, 8, -3)],
    [(0, 0, 0, 0), (0, 9, 0, 9), (4, 4, 2, 7), (9, 0, 9, 0)],
]


@pytest.mark.parametrize("search", [QUICK, NORMAL, BEST])
def test_a_way_that_exchanges_shorten_is_the_shortest(search: Search) -> None:
    for rows in IMPROVABLE:
        options: list[list[Ends]] = []
        for x, y, to_x, to_y in rows:
            a, b = complex(x, y), complex(to_x, to_y)
            options.append([(a, a)] if a == b else [(a, b), (b, a)])
        chosen = [0] * len(options)
        nearest = [(stroke, chosen[stroke]) for stroke in nearest_first(options, 0j, chosen)]
        assert way(options, nearest) > shortest(options) + 0.4
        found = shortest_way(options, 0j, search=search)
        assert sorted(stroke for stroke, _ in found) == list(range(len(options)))
        assert way(options, found) == pytest.approx(shortest(options), abs=1e-9)


def test_the_same_strokes_give_the_same_way() -> None:
    options = scattered(random.Random(7), 60)  # noqa: S311 - no secret
    first = shortest_way(options, 0j)
    again = scattered(random.Random(7), 60)  # noqa: S311 - no secret
    assert shortest_way(again, 0j) == first
    other = scattered(random.Random(8), 60)  # noqa: S311 - no secret
    assert shortest_way(other, 0j) != first


def test_marks_before_holes_before_outlines_and_nothing_lost() -> None:
    lots = random.Random(3)  # noqa: S311 - no secret
    kinds: list[tuple[Part, Operation]] = [
        ("mark", "mark"), ("mark", "score"), ("hole", "cut"), ("outline", "cut")
    ]  # fmt: skip
    strokes = []
    for number in range(30):
        x, y = lots.uniform(0, 100), lots.uniform(0, 100)
        part, operation = lots.choice(kinds)
        ring = (Vertex(x, y), Vertex(x + 3, y), Vertex(x + 3, y + 3, 0.5))
        strokes.append(Stroke(operation, ring, closed=True, part=part, placement=number))
    done = ordered(strokes, Point(0, 0))
    assert sorted(stroke.placement or 0 for stroke in done) == list(range(30))
    ranks = [
        [("mark", "mark"), ("score", "mark"), ("cut", "hole"), ("cut", "outline")].index(
            (stroke.operation, stroke.part)
        )
        for stroke in done
    ]
    assert ranks == sorted(ranks)
    assert sum(s.length for s in done) == pytest.approx(sum(s.length for s in strokes))
    assert travel(done, Point(0, 0)) < travel(strokes, Point(0, 0))


@pytest.mark.parametrize("count", [0, 1, 2, 3])
def test_hardly_any_strokes(count: int) -> None:
    options = scattered(random.Random(count), count)  # noqa: S311 - no secret
    assert len(shortest_way(options, 5 + 5j)) == count


def test_far_more_strokes_than_are_searched() -> None:
    options = [[(complex(x, y), complex(x, y))] for x in range(60) for y in range(50)]
    found = shortest_way(options, 0j)
    assert sorted(stroke for stroke, _ in found) == list(range(3000))
    assert way(options, found) < 3000 * 1.2


def test_an_entry_that_is_near_may_be_the_wrong_one() -> None:
    # derived: by the near entry, 1 + 11 mm; by the other, 2 + 8 mm
    options: list[list[Ends]] = [[(-1 + 0j, -1 + 0j), (2 + 0j, 2 + 0j)], [(10 + 0j, 10 + 0j)]]
    assert shortest_way(options, 0j, search=QUICK) == [(0, 1), (1, 0)]


@pytest.mark.parametrize("seed", range(4))
def test_the_nearest_entry_comes_next(seed: int) -> None:
    options = scattered(random.Random(seed), 80)  # noqa: S311 - no secret
    chosen = [0] * len(options)
    route = nearest_first(options, 50 + 50j, chosen)
    at, left = 50 + 50j, set(range(len(options)))
    for stroke in route:
        nearest = min(abs(begin - at) for each in left for begin, _ in options[each])
        begin, end = options[stroke][chosen[stroke]]
        assert abs(begin - at) == nearest
        left.remove(stroke)
        at = end
    assert not left


def test_neighbours_of_points_in_a_row() -> None:
    ends = padded([[(complex(x, 0), complex(x, 0))] for x in range(12)])
    found_of = neighbours(ends)
    # The ninth is not among the eight nearest, nor are those beyond it.
    assert [found_of[at].beyond for at in (0, 5)] == pytest.approx([9, 5], abs=1e-5)
    rows = [each.nearest for each in found_of]
    found = [[other for other, _ in row] for row in rows]
    assert [apart for _, apart in rows[0]] == pytest.approx([1, 2, 3, 4, 5, 6, 7, 8], abs=1e-5)
    assert all(apart < abs(other - 5) for other, apart in rows[5])
    assert found[0] == [1, 2, 3, 4, 5, 6, 7, 8]
    assert found[5] == [4, 6, 3, 7, 2, 8, 1, 9]
    assert found[11] == [10, 9, 8, 7, 6, 5, 4, 3]
