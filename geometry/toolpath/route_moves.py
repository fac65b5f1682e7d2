"""The moves that shorten a route: a stretch is reversed, or a stroke or a row put elsewhere.

Source:
    2-opt and or-opt moves over neighbour lists (Lin 1965; Or 1976). A move is not calculated where
    the distance of two strokes alone shows that it cannot shorten the route.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TypeAlias

import numpy as np

from geometry.toolpath.route_neighbours import Ends, nearest_first, neighbours, padded

#: First and last position of a row, the saving from its removal, and its last end.
_Taken: TypeAlias = tuple[int, int, float, complex]
#: The end before a stroke, its own ends, and the start of the next; the travel to it and from it;
#: 1 if there is a next, or else 0.
_Around: TypeAlias = tuple[complex, complex, complex, complex, float, float, float]

#: The end of a stroke and the start of the next; the travel between them, less the smallest gain;
#: 1 if there is a next, or else 0.
_Gap: TypeAlias = tuple[complex, complex, float, float]

#: Maximum length of a row that is moved as a whole.
ROW = 3
#: Above this number of strokes no moves are tried.
SEARCHED = 2_500
#: Smaller gains are rounding, mm.
GAIN = 1e-9
#: Strokes whose distances are calculated together, which limits the memory.
_TOGETHER = 256


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
        #: What is around the places that have been looked at since the last change.
        self.known: dict[int, _Around] = {}
        self.renumber(0)
        self._ends = padded(self.options)
        near = neighbours(self._ends[:-1]) if count <= SEARCHED else []
        self.near = [each.nearest for each in near]
        # The place where the tool starts is no stroke's neighbour.
        self._aparts = [{**dict(each.nearest), count: 0.0} for each in near]
        self._beyond = [each.beyond for each in near]

    def apart(self, low: int, high: int) -> Iterator[list[list[float]]]:
        """Yield the distances of entries from each place to the next between two places.

        Yields:
            For each entry of the stroke at the later place the distances to the ends of the stroke
            before it; for the first, the one distance to the end it has.
        """
        numbers = self.route[low : high + 1]
        for first in range(0, high - low, _TOGETHER):
            some = numbers[first : first + _TOGETHER + 1]
            ends, begins = self._ends[some[:-1], None, :, 1], self._ends[some[1:], :, None, 0]
            if not first:
                ends[0, 0, 0] = self.end[some[0]]
            ways = begins - ends
            for stroke, each in zip(some[1:], np.hypot(ways.real, ways.imag).tolist(), strict=True):
                yield each[: len(self.options[stroke])]

    def renumber(self, first: int) -> None:
        """Note the places of all strokes from a place of the route on."""
        self.known.clear()
        for place in range(first, len(self.route)):
            self.place[self.route[place]] = place

    def choose(self, stroke: int, option: int) -> None:
        """Enter a stroke by one of its entries."""
        self.known.clear()
        self.chosen[stroke] = option
        self.begin[stroke], self.end[stroke] = self.options[stroke][option]

    def better_about(self, stroke: int) -> list[int]:
        """Make the first move that brings a stroke nearer to one of its neighbours."""
        place, route, known = self.place, self.route, self.known
        here = place[stroke]
        own, (alone, longer, rows) = known.get(here) or self._around(here), self._rows(stroke)
        _, first, last, _, into, out, _ = own
        aparts, beyond = self._aparts[stroke], self._beyond[stroke]
        # Without calls of our own wherever distances show that no move helps: this is done for
        # every pair of neighbours, and hardly any of them moves.
        for other, apart in self.near[stroke]:
            there = place[other]
            theirs = known.get(there) or self._around(there)
            before, their_first, their_last, after, their_into, their_out, ahead = theirs
            # Both strokes are at the ends of one of the new ways.
            if out + their_out > abs(their_last - last) or into + their_into > abs(
                their_first - first
            ):
                touched = self._turned(here, own, there, theirs)
                if touched:
                    return [stroke, *touched]
            if there != here - 1:
                far = apart + aparts.get(route[there + 1], beyond) if ahead else apart
                limit = longer + their_out
                if (
                    alone + their_out > far
                    or limit > abs(their_last - first)
                    or limit > ahead * abs(after - first)
                ):
                    gap = (their_last, after, their_out - GAIN, ahead)
                    touched = self._put(rows, there, gap, far)
                    if touched:
                        return [stroke, *touched]
            if there - 1 != here:
                far = apart + aparts.get(route[there - 1], beyond)
                limit = longer + their_into
                if (
                    alone + their_into > far
                    or limit > abs(before - first)
                    or limit > abs(their_first - first)
                ):
                    gap = (before, their_first, their_into - GAIN, 1.0)
                    touched = self._put(rows, there - 1, gap, far)
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
            found = before, first, last, after, abs(first - before), abs(after - last), 1.0
        else:
            # The last stroke has no successor.
            found = before, first, last, last, abs(first - before), 0.0, 0.0
        self.known[place] = found
        return found

    def _turned(self, here: int, own: _Around, there: int, theirs: _Around) -> list[int]:
        """Reverse a stretch so that two strokes become neighbours."""
        low, high = here, there
        if low > high:
            low, high, own, theirs = there, here, theirs, own
        if low + 1 >= high:
            return []
        before, first, last, after, into, out, _ = own
        their_before, their_first, their_last, their_after, their_into, their_out, ahead = theirs
        gain = out - abs(their_last - last)
        gain += their_out - ahead * abs(their_after - after)
        if gain > GAIN:
            return self._turn_between(low + 1, high)
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

    def _rows(self, stroke: int) -> tuple[float, float, list[_Taken]]:
        """Return the rows from a stroke whose removal shortens the route.

        Before them, what is saved by removing the stroke alone, and at most by a longer row.
        """
        route, begin, end = self.route, self.begin, self.end
        low, rows = self.place[stroke], []
        alone = longer = -math.inf
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
                if high == low:
                    alone = saved
                elif saved > longer:
                    longer = saved
        return alone, longer, rows

    def _put(self, rows: Sequence[_Taken], behind: int, gap: _Gap, far: float) -> list[int]:
        """Move a stroke, or a row that starts with it, into the gap behind a place.

        The travel from and to the stroke alone is at least ``far``.
        """
        left, right, spared, onward = gap
        stroke = self.route[rows[0][0]]
        first = self.begin[stroke]
        # A row's first end comes to one of the two ends here.
        from_left, to_right = abs(first - left), onward * abs(right - first)
        nearest = min(from_left, to_right)
        for low, high, saved, last in rows:
            limit = saved + spared
            if low == high:
                if limit <= far:
                    continue
                pick, turned = self._best_entry(stroke, left, right, limit, onward), False
                if pick < 0:
                    continue
            elif limit <= nearest or low <= behind <= high:
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
