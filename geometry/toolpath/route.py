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
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from geometry.toolpath.route_neighbours import Ends, nearest_first, neighbours

#: Ends of a row of strokes, the entry's number (-1 for a row), and whether it is reversed.
_Ways: TypeAlias = tuple[complex, complex, int, bool]
#: First and last position of a row, the saving from its removal, and its possible ends.
_Taken: TypeAlias = tuple[int, int, float, list[_Ways]]

#: Maximum length of a row that is moved as a whole, or exchanged by a kick.
_ROW = 3
_KICKED = 8
#: Positions on both sides of a change for which entries are chosen again.
_ABOUT = 3
#: Maximum kicks times strokes, which limits the time per load to about half a second.
_WORK = 8_000
#: Above this number of strokes, only the start and its entries are used.
_SEARCHED = 2_500
_GAIN = 1e-9


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
        options: the possible starts and ends of each stroke, at least one.
        start: where the tool stands.
        search: effort of the search beyond the first good route.
    """
    if not options:
        return []
    way = _Way(options, start)
    way.choose_entries()
    if 1 < len(options) <= _SEARCHED:
        way.improve(range(len(options)))
        way.choose_entries()
        way.kick(search.kicks(len(options)))
    return [(stroke, way.chosen[stroke]) for stroke in way.route[1:]]


class _Way:
    """A route being improved; the tool's position is stroke number ``len(options)``."""

    def __init__(self, options: Sequence[Sequence[Ends]], start: complex) -> None:
        count = len(options)
        self.options = [*options, [(start, start)]]
        self.chosen = [0] * (count + 1)
        self.route = [count, *nearest_first(options, start, self.chosen)]
        self.begin = [self.options[s][o][0] for s, o in enumerate(self.chosen)]
        self.end = [self.options[s][o][1] for s, o in enumerate(self.chosen)]
        self.place = [0] * (count + 1)
        self._renumber(0)
        self.near = neighbours(options) if count <= _SEARCHED else []

    def _renumber(self, first: int) -> None:
        for place in range(first, len(self.route)):
            self.place[self.route[place]] = place

    def length(self) -> float:
        """Return the travel of the whole route, mm."""
        route, begin, end = self.route, self.begin, self.end
        return sum(abs(begin[after] - end[before]) for before, after in itertools.pairwise(route))

    def choose_entries(self, low: int = 0, high: int | None = None) -> None:
        """Choose the optimal entries between two positions of the route.

        Everything before and behind stays the same.
        """
        route, options = self.route, self.options
        high = len(route) - 1 if high is None else high
        costs, back = [0.0], []
        ends = [self.end[route[low]]]
        for after in route[low + 1 : high + 1]:
            row, origins = [], []
            for begin, _ in options[after]:
                ways = [cost + abs(begin - end) for cost, end in zip(costs, ends, strict=True)]
                best = min(ways)
                row.append(best)
                origins.append(ways.index(best))
            costs = row
            ends = [end for _, end in options[after]]
            back.append(origins)
        if high + 1 < len(route):
            following = self.begin[route[high + 1]]
            costs = [cost + abs(following - end) for cost, end in zip(costs, ends, strict=True)]
        pick = costs.index(min(costs))
        for place in range(high, low, -1):
            self._set(route[place], pick)
            pick = back[place - low - 1][pick]

    def _set(self, stroke: int, option: int) -> None:
        self.chosen[stroke] = option
        self.begin[stroke], self.end[stroke] = self.options[stroke][option]

    def kick(self, times: int) -> None:
        """Disturb the route slightly and keep the result if it is not longer."""
        # The seed is part of the method: the same strokes always give the same route.
        lots = random.Random(1)  # noqa: S311 - no secret
        best = self.length()
        count = len(self.route) - 1
        for _ in range(times if count > _ROW else 0):
            kept = self.route[:], self.chosen[:], self.begin[:], self.end[:], self.place[:]
            cuts = sorted(lots.sample(range(1, min(count, 3 * _KICKED) + 1), 3))
            shift = lots.randrange(max(1, count - cuts[-1] + 1))
            low, middle, high = (cut + shift for cut in cuts)
            touched = {self.route[at] for at in (low - 1, low, middle - 1, middle, high - 1)}
            self.route[low:high] = self.route[middle:high] + self.route[low:middle]
            self._renumber(low)
            moved = self.improve(sorted(touched - {len(self.options) - 1}))
            self._choose_about(moved)
            now = self.length()
            # Equally long results are kept too: lattices have many, and some lead to better ones.
            if now <= best + _GAIN:
                best = min(best, now)
            else:
                self.route, self.chosen, self.begin, self.end, self.place = kept

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
            touched = self._better_about(stroke)
            for other in touched:
                if other not in waiting and other < len(self.options) - 1:
                    waiting.add(other)
                    queue.append(other)
            moved.update(touched)
        return moved

    def _better_about(self, stroke: int) -> list[int]:
        rows = list(self._rows(stroke))
        for other in self.near[stroke]:
            touched = self._turned(stroke, other) or self._shifted(rows, other)
            if touched:
                return [stroke, *touched]
        return []

    def _turned(self, stroke: int, other: int) -> list[int]:
        """Reverse a stretch so that two strokes become neighbours."""
        route, begin, end = self.route, self.begin, self.end
        a, b = self.place[stroke], self.place[other]
        if a > b:
            a, b = b, a
        # This is the innermost loop, so its calls are inlined.
        for low, high in ((a + 1, b), (a, b - 1)):
            if not 1 <= low < high:
                continue
            before, first, last = end[route[low - 1]], begin[route[low]], end[route[high]]
            gain = abs(first - before) - abs(last - before)
            if high + 1 < len(route):
                after = begin[route[high + 1]]
                gain += abs(after - last) - abs(after - first)
            if gain > _GAIN:
                self._turn(low, high)
                following = min(high + 1, len(route) - 1)
                return [route[at] for at in (low - 1, low, high, following)]
        return []

    def _turn(self, low: int, high: int) -> None:
        route = self.route
        route[low : high + 1] = route[low : high + 1][::-1]
        for place in range(low, high + 1):
            stroke = route[place]
            self.place[stroke] = place
            self._set(stroke, _other_way(self.options[stroke], self.chosen[stroke]))

    def _rows(self, stroke: int) -> Iterator[_Taken]:
        """Yield the rows from a stroke whose removal shortens the route."""
        route, begin, end = self.route, self.begin, self.end
        low = self.place[stroke]
        for high in range(low, min(low + _ROW, len(route))):
            before, last = end[route[low - 1]], end[route[high]]
            saved = abs(begin[stroke] - before)
            if high + 1 < len(route):
                after = begin[route[high + 1]]
                saved += abs(after - last) - abs(after - before)
            # Inserted elsewhere, a row shortens the route by at most the distance between its ends.
            if saved + abs(end[route[high]] - begin[stroke]) > _GAIN:
                yield low, high, saved, self._ways(low, high)

    def _shifted(self, rows: Sequence[_Taken], other: int) -> list[int]:
        """Move a stroke, or a row, directly behind or before another."""
        route, begin, end, at = self.route, self.begin, self.end, self.place[other]
        for behind in (at, at - 1):
            if behind < 0:
                continue
            left = end[route[behind]]
            if behind + 1 < len(route):
                right = begin[route[behind + 1]]
                spared, ahead = abs(right - left) - _GAIN, 1.0
            else:
                # The last stroke has no successor.
                right, spared, ahead = left, -_GAIN, 0.0
            for low, high, saved, ways in rows:
                if low - 1 <= behind <= high:
                    continue
                limit, found = saved + spared, None
                for a, b, pick, turned in ways:
                    cost = abs(a - left)
                    # Most entries are too far already: this is the innermost loop.
                    if cost < limit:
                        cost += ahead * abs(right - b)
                        if cost < limit:
                            limit, found = cost, (pick, turned)
                if found is not None:
                    pick, turned = found
                    return self._shift(low, high, behind, pick=pick, turned=turned)
        return []

    def _shift(self, low: int, high: int, behind: int, *, pick: int, turned: bool) -> list[int]:
        route = self.route
        ends = (low, high, low - 1, high + 1, behind, behind + 1)
        touched = [route[place] for place in ends if place < len(route)]
        self._move(low, high, behind, turned=turned)
        if pick >= 0:
            self._set(touched[0], pick)
        return touched

    def _ways(self, low: int, high: int) -> list[_Ways]:
        """Return the possible ends of a row: all entries of one stroke, or both directions."""
        first, last = self.route[low], self.route[high]
        if low == high:
            return [(a, b, pick, False) for pick, (a, b) in enumerate(self.options[first])]
        a, b = self.begin[first], self.end[last]
        return [(a, b, -1, False), (b, a, -1, True)]

    def _move(self, low: int, high: int, behind: int, *, turned: bool) -> None:
        if turned:
            self._turn(low, high)
        row = self.route[low : high + 1]
        del self.route[low : high + 1]
        at = behind + 1 if behind < low else behind + 1 - len(row)
        self.route[at:at] = row
        self._renumber(min(low, at))


def _other_way(options: Sequence[Ends], chosen: int) -> int:
    """Return the entry that reverses a stroke."""
    begin, end = options[chosen]
    if begin == end:
        return chosen
    return next(i for i, (a, b) in enumerate(options) if a == end and b == begin)
