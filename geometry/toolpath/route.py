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
from typing import NamedTuple, TypeAlias

from geometry.toolpath.route_neighbours import Ends, nearest_first, neighbours

#: First and last position of a row, the saving from its removal, and its last end.
_Taken: TypeAlias = tuple[int, int, float, complex]
#: The end before a stroke, its own ends, and the start of the next; the travel to it and from it;
#: 1 if there is a next, or else 0.
_Around: TypeAlias = tuple[complex, complex, complex, complex, float, float, float]

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
        options: the possible starts and ends of each stroke, at least one; every end is also the
            start of one of them.
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
                # Without a loop of our own: this is done for every pair of entries.
                ways = [*map(add, costs, map(abs, map(begin.__sub__, ends)))]
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
        """Make the first move that brings a stroke nearer to one of its neighbours."""
        here = self.place[stroke]
        own, rows = self._around(here), self._rows(stroke)
        for other, apart in self.near[stroke]:
            there = self.place[other]
            theirs = self._around(there)
            touched = self._turned(here, own, there, theirs, apart) or self._shifted(
                stroke, rows, there, theirs, apart
            )
            if touched:
                return [stroke, *touched]
        return []

    def _around(self, place: int) -> _Around:
        """Return the ends before, at and behind a place, and the travel to and from it."""
        route, begin, end = self.route, self.begin, self.end
        stroke = route[place]
        before, first, last = end[route[place - 1]], begin[stroke], end[stroke]
        if place + 1 < len(route):
            after = begin[route[place + 1]]
            return before, first, last, after, abs(first - before), abs(after - last), 1.0
        # The last stroke has no successor.
        return before, first, last, last, abs(first - before), 0.0, 0.0

    def _turned(
        self, here: int, own: _Around, there: int, theirs: _Around, apart: float
    ) -> list[int]:
        """Reverse a stretch so that two strokes, at least so far apart, become neighbours."""
        low, high = here, there
        if low > high:
            low, high, own, theirs = there, here, theirs, own
        if low + 1 >= high:
            return []
        before, first, last, after, into, out, _ = own
        their_before, their_first, their_last, their_after, their_into, their_out, ahead = theirs
        # Both strokes are at the ends of one of the new ways.
        if out + their_out > apart:
            gain = out - abs(their_last - last)
            gain += their_out - ahead * abs(their_after - after)
            if gain > _GAIN:
                return self._turn_between(low + 1, high)
        if into + their_into > apart:
            gain = into - abs(their_before - before)
            gain += their_into - abs(their_first - first)
            if gain > _GAIN:
                return self._turn_between(low, high - 1)
        return []

    def _turn_between(self, low: int, high: int) -> list[int]:
        self._turn(low, high)
        following = min(high + 1, len(self.route) - 1)
        return [self.route[at] for at in (low - 1, low, high, following)]

    def _turn(self, low: int, high: int) -> None:
        route = self.route
        route[low : high + 1] = route[low : high + 1][::-1]
        for place in range(low, high + 1):
            stroke = route[place]
            self.place[stroke] = place
            self._set(stroke, _other_way(self.options[stroke], self.chosen[stroke]))

    def _rows(self, stroke: int) -> list[_Taken]:
        """Return the rows from a stroke whose removal shortens the route."""
        route, begin, end = self.route, self.begin, self.end
        low, rows = self.place[stroke], []
        before, first = end[route[low - 1]], begin[stroke]
        into = abs(first - before)
        for high in range(low, min(low + _ROW, len(route))):
            last, saved = end[route[high]], into
            if high + 1 < len(route):
                after = begin[route[high + 1]]
                saved += abs(after - last) - abs(after - before)
            # Inserted elsewhere, a row shortens the route by at most the distance between its ends.
            if saved + abs(last - first) > _GAIN:
                rows.append((low, high, saved, last))
        return rows

    def _shifted(
        self, stroke: int, rows: Sequence[_Taken], there: int, theirs: _Around, apart: float
    ) -> list[int]:
        """Move a stroke, or a row, directly behind or before another, at least so far away."""
        first = self.begin[stroke]
        before, their_first, their_last, after, into, out, ahead = theirs
        for behind, left, right, spared, onward in (
            (there, their_last, after, out - _GAIN, ahead),
            (there - 1, before, their_first, into - _GAIN, 1.0),
        ):
            # A row's first end comes to one of the two ends here.
            from_left, to_right = abs(first - left), onward * abs(right - first)
            nearest = min(from_left, to_right)
            for low, high, saved, last in rows:
                limit = saved + spared
                if low - 1 <= behind <= high:
                    continue
                if low == high:
                    # The stroke and the other are at the ends of one of the new ways.
                    if limit <= apart:
                        continue
                    pick, turned = self._best_entry(stroke, left, right, limit, onward), False
                    if pick < 0:
                        continue
                elif limit <= nearest:
                    continue
                else:
                    cost, back = from_left + onward * abs(right - last), abs(last - left) + to_right
                    pick, turned = -1, back < cost
                    if min(cost, back) >= limit:
                        continue
                return self._shift(low, high, behind, pick=pick, turned=turned)
        return []

    def _best_entry(
        self, stroke: int, left: complex, right: complex, limit: float, onward: float
    ) -> int:
        """Return the entry with the shortest way from left to right below a limit, or -1."""
        found = -1
        for pick, (a, b) in enumerate(self.options[stroke]):
            cost = abs(a - left)
            # Most entries are too far already: this is the innermost loop.
            if cost < limit:
                cost += onward * abs(right - b)
                if cost < limit:
                    limit, found = cost, pick
        return found

    def _shift(self, low: int, high: int, behind: int, *, pick: int, turned: bool) -> list[int]:
        route = self.route
        ends = (low, high, low - 1, high + 1, behind, behind + 1)
        touched = [route[place] for place in ends if place < len(route)]
        self._move(low, high, behind, turned=turned)
        if pick >= 0:
            self._set(touched[0], pick)
        return touched

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
