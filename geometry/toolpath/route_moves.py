"""The moves that shorten a route: a stretch is reversed, or a stroke or a row put elsewhere.

Source:
    2-opt and or-opt moves over neighbour lists (Lin 1965; Or 1976). A move is not calculated where
    the distance of two strokes alone shows that it cannot shorten the route.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from geometry.toolpath.route_neighbours import Ends, nearest_first, neighbours

#: First and last position of a row, the saving from its removal, and its last end.
_Taken: TypeAlias = tuple[int, int, float, complex]
#: The end before a stroke, its own ends, and the start of the next; the travel to it and from it;
#: 1 if there is a next, or else 0.
_Around: TypeAlias = tuple[complex, complex, complex, complex, float, float, float]

#: Maximum length of a row that is moved as a whole.
ROW = 3
#: Above this number of strokes no moves are tried.
SEARCHED = 2_500
#: Smaller gains are rounding, mm.
GAIN = 1e-9


class MovableRoute:
    """A route whose strokes can change places; the tool's is number ``len(options)``."""

    def __init__(self, options: Sequence[Sequence[Ends]], start: complex) -> None:
        count = len(options)
        self.options = [*options, [(start, start)]]
        self.chosen = [0] * (count + 1)
        self.route = [count, *nearest_first(options, start, self.chosen)]
        self.begin = [self.options[s][o][0] for s, o in enumerate(self.chosen)]
        self.end = [self.options[s][o][1] for s, o in enumerate(self.chosen)]
        self.place = [0] * (count + 1)
        self.renumber(0)
        self.near = neighbours(options) if count <= SEARCHED else []

    def renumber(self, first: int) -> None:
        """Note the places of all strokes from a place of the route on."""
        for place in range(first, len(self.route)):
            self.place[self.route[place]] = place

    def choose(self, stroke: int, option: int) -> None:
        """Enter a stroke by one of its entries."""
        self.chosen[stroke] = option
        self.begin[stroke], self.end[stroke] = self.options[stroke][option]

    def better_about(self, stroke: int) -> list[int]:
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
            if gain > GAIN:
                return self._turn_between(low + 1, high)
        if into + their_into > apart:
            gain = into - abs(their_before - before)
            gain += their_into - abs(their_first - first)
            if gain > GAIN:
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
            self.choose(stroke, _other_way(self.options[stroke], self.chosen[stroke]))

    def _rows(self, stroke: int) -> list[_Taken]:
        """Return the rows from a stroke whose removal shortens the route."""
        route, begin, end = self.route, self.begin, self.end
        low, rows = self.place[stroke], []
        before, first = end[route[low - 1]], begin[stroke]
        into = abs(first - before)
        for high in range(low, min(low + ROW, len(route))):
            last, saved = end[route[high]], into
            if high + 1 < len(route):
                after = begin[route[high + 1]]
                saved += abs(after - last) - abs(after - before)
            # Inserted elsewhere, a row shortens the route by at most the distance between its ends.
            if saved + abs(last - first) > GAIN:
                rows.append((low, high, saved, last))
        return rows

    def _shifted(
        self, stroke: int, rows: Sequence[_Taken], there: int, theirs: _Around, apart: float
    ) -> list[int]:
        """Move a stroke, or a row, directly behind or before another, at least so far away."""
        first = self.begin[stroke]
        before, their_first, their_last, after, into, out, ahead = theirs
        for behind, left, right, spared, onward in (
            (there, their_last, after, out - GAIN, ahead),
            (there - 1, before, their_first, into - GAIN, 1.0),
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
            self.choose(touched[0], pick)
        return touched

    def _move(self, low: int, high: int, behind: int, *, turned: bool) -> None:
        if turned:
            self._turn(low, high)
        row = self.route[low : high + 1]
        del self.route[low : high + 1]
        at = behind + 1 if behind < low else behind + 1 - len(row)
        self.route[at:at] = row
        self.renumber(min(low, at))


def _other_way(options: Sequence[Ends], chosen: int) -> int:
    """Return the entry that reverses a stroke."""
    begin, end = options[chosen]
    if begin == end:
        return chosen
    return next(i for i, (a, b) in enumerate(options) if a == end and b == begin)
