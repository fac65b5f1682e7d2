"""Searches for the shortest route through strokes with several possible starts each.

Source:
    The generalised travelling salesman problem: a nearest-neighbour start, then 2-opt and or-opt
    moves over neighbour lists, optimal entries for a given order by dynamic programming, and small
    double-bridge kicks that are kept if they help (Lin 1965; Or 1976; Martin, Otto and Felten 1991;
    textbook methods).
"""

from __future__ import annotations

import itertools
import math
import random
from collections import deque
from collections.abc import Iterable, Sequence
from operator import add
from typing import NamedTuple

from geometry.toolpath.route_moves import GAIN, ROW, SEARCHED, MovableRoute
from geometry.toolpath.route_neighbours import Ends

#: Maximum length of a row that is exchanged by a kick.
_KICKED = 8
#: Positions on both sides of a change for which entries are chosen again.
_ABOUT = 3
#: Maximum kicks times strokes, which limits the time per load to about half a second.
_WORK = 8_000


class Search(NamedTuple):
    """The effort of the search: maximum kicks, and kicks per stroke."""

    most: int
    a_stroke: float

    def kicks(self, strokes: int) -> int:
        """Return the number of kicks for this many strokes."""
        return min(self.most, math.ceil(self.a_stroke * strokes), _WORK // strokes)


#: Measured against a general routing solver (DEVELOPERS.md, benchmarks).
QUICK, NORMAL, BEST = Search(0, 0.0), Search(2, 0.05), Search(150, 150.0)


def shortest_way(
    options: Sequence[Sequence[Ends]], start: complex, *, search: Search = BEST
) -> list[tuple[int, int]]:
    """Return the order of strokes, each with its entry.

    Args:
        options: the possible starts and ends of each stroke, at least one; every end is also the
            start of one of them.
        start: where the tool stands.
        search: effort of the search beyond the first good route.
    """
    if not options:
        return []
    way = _Way(options, start)
    way.choose_entries()
    if 1 < len(options) <= SEARCHED:
        way.improve(range(len(options)))
        way.choose_entries()
        way.kick(search.kicks(len(options)))
    return [(stroke, way.chosen[stroke]) for stroke in way.route[1:]]


class _Way(MovableRoute):
    """A route being improved."""

    def length(self) -> float:
        """Return the travel of the whole route, mm."""
        route, begin, end = self.route, self.begin, self.end
        return sum(abs(begin[after] - end[before]) for before, after in itertools.pairwise(route))

    def choose_entries(self, low: int = 0, high: int | None = None) -> None:
        """Choose the optimal entries between two positions of the route.

        Everything before and behind stays the same.
        """
        route = self.route
        high = len(route) - 1 if high is None else high
        costs: list[float] = [0.0]
        #: For each place and entry there, the ways to it by each entry before.
        ways: list[list[list[float]]] = []
        for apart in self.apart(low, high):
            # Without a loop of our own: this is done for every entry.
            ways.append([[*map(add, costs, each)] for each in apart])
            costs = [*map(min, ways[-1])]
        if high + 1 < len(route):
            following = self.begin[route[high + 1]]
            ends = self.options[route[high]]
            costs = [
                cost + abs(following - end) for cost, (_, end) in zip(costs, ends, strict=False)
            ]
        pick = costs.index(min(costs))
        for place in range(high, low, -1):
            self.choose(route[place], pick)
            before = ways[place - low - 1][pick]
            pick = before.index(min(before))

    def kick(self, times: int) -> None:
        """Disturb the route slightly and keep the result if it is not longer."""
        # The seed is part of the method: the same strokes always give the same route.
        lots = random.Random(1)  # noqa: S311 - no secret
        best = self.length()
        count = len(self.route) - 1
        for _ in range(times if count > ROW else 0):
            kept = self.route[:], self.chosen[:], self.begin[:], self.end[:], self.place[:]
            cuts = sorted(lots.sample(range(1, min(count, 3 * _KICKED) + 1), 3))
            shift = lots.randrange(max(1, count - cuts[-1] + 1))
            low, middle, high = (cut + shift for cut in cuts)
            touched = {self.route[at] for at in (low - 1, low, middle - 1, middle, high - 1)}
            self.route[low:high] = self.route[middle:high] + self.route[low:middle]
            self.renumber(low)
            moved = self.improve(sorted(touched - {len(self.options) - 1}))
            self._choose_about(moved)
            now = self.length()
            # Equally long results are kept too: lattices have many, and some lead to better ones.
            if now <= best + GAIN:
                best = min(best, now)
            else:
                self.route, self.chosen, self.begin, self.end, self.place = kept
                self.known.clear()

    def _choose_about(self, strokes: Iterable[int]) -> None:
        """Choose the entries again near some strokes."""
        last = len(self.route) - 1
        reach: list[list[int]] = []
        for place in sorted(self.place[stroke] for stroke in strokes):
            low, high = max(place - _ABOUT, 0), min(place + _ABOUT, last)
            if reach and low <= reach[-1][1] + 1:
                reach[-1][1] = high
            else:
                reach.append([low, high])
        for low, high in reach:
            self.choose_entries(low, high)

    def improve(self, strokes: Sequence[int]) -> set[int]:
        """Make moves that shorten the route until none near the given strokes does.

        Returns:
            The strokes near changes, including the given ones.
        """
        queue = deque(strokes)
        waiting, moved = set(strokes), set(strokes)
        while queue:
            stroke = queue.popleft()
            waiting.discard(stroke)
            touched = self.better_about(stroke)
            for other in touched:
                if other not in waiting and other < len(self.options) - 1:
                    waiting.add(other)
                    queue.append(other)
            moved.update(touched)
        return moved
