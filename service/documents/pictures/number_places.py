"""Where the numbers of strokes stand in a picture: beside their starts, over nothing else."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from geometry.model.plan import Stroke
from geometry.model.points import Point, distance, heading
from geometry.model.segments import Bounds
from geometry.toolpath.order import last_point
from service.texts import gettext as _
from service.texts import gettext_noop as _later

#: Width of a figure, as a share of its height, and the room about a number.
_WIDE, _ROOM = 0.66, 0.12
#: Which strokes are numbered first where there is no room for all.
_FIRST = {"outline": 0, "hole": 1}
#: Where a number is tried: heights, distances from the start in heights, turns from the way into
#: the piece, in sixteenths of a turn.
_SIZES, _AWAY = (1.0, 0.8, 0.6), (0.9, 1.3, 1.8, 2.5)
_NEAR = [(size, away) for size in _SIZES for away in _AWAY]
#: Further distances for the cut that brings a blade into line: it is no piece's, and a speck
#: without a name.
_FARTHER = (3.5, 5.0, 7.0, 10.0)
_LINE_UP = _later("line-up")
_TURNS = np.array((0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6, -6, 7, -7, 8)) * (math.pi / 8.0)
#: Distances that are tried for all numbers together; mostly one of them will do.
_TRIED = 2
#: Pairs of a number and a segment that are looked at together, which limits the memory.
_PAIRS = 4_000_000
_Numbers = npt.NDArray[np.float64]
_Indices = npt.NDArray[np.intp]
#: A number, its middle and the height of its figures.
PlacedNumber = tuple[int, str, Point, float]


def placed_numbers(
    strokes: Sequence[Stroke],
    chosen: Collection[int],
    first: int,
    middles: Sequence[Point],
    letter: float,
    lines: Sequence[Sequence[tuple[float, float]]],
    urgent: Collection[int] = (),
    grounded: GroundedNumbers | None = None,
) -> Iterator[PlacedNumber]:
    """Yield the index of a stroke, its number, the middle of that and the height of its figures.

    A number that would stand on a line or on another number is left out, unless it has a ground.

    Args:
        strokes: of one picture.
        chosen: indices of those that are numbered.
        first: number of the first.
        middles: of the load's placed pieces.
        letter: height of letters, mm.
        lines: whatever is drawn in the picture, as polylines.
        urgent: indices of those that are placed before all others.
        grounded: those that come even before them, always have a place, and stand where their
            strokes end.
    """
    always = frozenset[int]() if grounded is None else frozenset(grounded.at)
    order = sorted(
        chosen,
        key=lambda at: (at not in always, at not in urgent, _FIRST.get(strokes[at].part, 2), at),
    )
    wishes = [
        _wish(
            strokes[at],
            str(first + at),
            middles,
            is_urgent=at in urgent,
            on=grounded if at in always else None,
        )
        for at in order
    ]
    for place, text, (x, y, size) in _clear(wishes, _Lines(lines), letter):
        yield order[place], text, Point(x, y), size


@dataclass(frozen=True)
class GroundedNumbers:
    """Numbers on a ground of their own: where nothing else is free, they stand over lines.

    ``at`` are the indices of their strokes, ``lines`` what they never cover, as polylines, and
    ``box`` what they stay in.
    """

    at: Collection[int]
    lines: Sequence[Sequence[Point]]
    box: Bounds


class _Wish(NamedTuple):
    """A number, where its stroke starts or ends, and the way into the piece, radians.

    ``on`` is stated for one that may stand over lines.
    """

    text: str
    start: Point
    into: float
    is_urgent: bool = False
    on: GroundedNumbers | None = None

    @property
    def farther(self) -> list[tuple[float, float]]:
        """Return the heights and distances that are tried when none of the first will do."""
        far = _FARTHER if self.is_urgent or self.text == _LINE_UP else ()
        return [*_NEAR[_TRIED:], *((min(_SIZES), away) for away in far)]


def _wish(
    stroke: Stroke,
    text: str,
    middles: Sequence[Point],
    *,
    is_urgent: bool,
    on: GroundedNumbers | None,
) -> _Wish:
    # A pause is where a stroke ends, as its dot is.
    start = stroke.vertices[0].point if on is None else last_point(stroke)
    if stroke.placement is not None and distance(start, middles[stroke.placement]) > 0.0:
        into = heading(start, middles[stroke.placement])
    else:
        into = stroke.segments[0].start_heading + math.pi / 4.0
    text = _LINE_UP if stroke.part == "line-up" else text
    return _Wish(text, start, into, is_urgent, on)


class _Lines:
    """Whatever is drawn in a panel, as straight segments."""

    def __init__(self, lines: Sequence[Sequence[tuple[float, float]]]) -> None:
        points = np.fromiter(chain.from_iterable(chain.from_iterable(lines)), float).reshape(-1, 2)
        # From the last point of a line no segment goes to the next line.
        within = np.ones(max(0, len(points) - 1), dtype=bool)
        within[np.cumsum([len(line) for line in lines if line], dtype=int)[:-1] - 1] = False
        # A row of x and one of y.
        start, end = points[:-1][within].T.copy(), points[1:][within].T.copy()
        self._start, self._way = start, end - start
        self._low, self._high = np.minimum(start, end), np.maximum(start, end)

    def are_clear_of(self, middles: _Numbers, halves: _Numbers) -> npt.NDArray[np.bool_]:
        """Return which boxes no line touches.

        Args:
            middles: of the boxes, those that lie near each other in one row: x, then y.
            halves: half their widths and heights.
        """
        clear = np.ones(middles.shape[1:], dtype=bool)
        step = max(1, _PAIRS // max(1, self._low.shape[1]))
        for first in range(0, len(clear), step):
            some = slice(first, first + step)
            clear[some][self._touched(middles[:, some], halves[:, some])] = False
        return clear

    def _touched(self, middles: _Numbers, halves: _Numbers) -> tuple[_Indices, _Indices]:
        """Return the rows and columns of the boxes that a line touches."""
        low, high = middles - halves, middles + halves
        row, near = self._near(low.min(axis=2), high.max(axis=2))
        # Parts of arrays are taken by one index each: that is several times as quick as by two.
        meets = self._low[0].take(near)[:, None] <= high[0].take(row, axis=0)
        meets &= self._high[0].take(near)[:, None] >= low[0].take(row, axis=0)
        meets &= self._low[1].take(near)[:, None] <= high[1].take(row, axis=0)
        meets &= self._high[1].take(near)[:, None] >= low[1].take(row, axis=0)
        pair, place = _where(meets)
        row, near = row.take(pair), near.take(pair)
        box = row * meets.shape[1] + place
        # A segment near a box misses it only if all corners are on one side of its line.
        across, along = (each.take(near) for each in self._way)
        x, y = (
            each.take(box) - start.take(near)
            for each, start in zip(middles, self._start, strict=True)
        )
        wide, tall = (each.take(box) for each in halves)
        touched = np.abs(across * y - along * x) <= np.abs(across) * tall + np.abs(along) * wide
        return row[touched], place[touched]

    def _near(self, low: _Numbers, high: _Numbers) -> tuple[_Indices, _Indices]:
        """Return the pairs of a box, by its lowest and highest x and y, and a segment in it."""
        near = self._low[0] <= high[0, :, None]
        near &= self._high[0] >= low[0, :, None]
        near &= self._low[1] <= high[1, :, None]
        near &= self._high[1] >= low[1, :, None]
        return _where(near)


def _where(table: npt.NDArray[np.bool_]) -> tuple[_Indices, _Indices]:
    """Return the rows and columns of what is true, in the time that one of them takes."""
    places, width = np.flatnonzero(table), max(1, table.shape[1])
    rows = places // width
    return rows, places - rows * width


def _clear(
    wishes: Sequence[_Wish], lines: _Lines, letter: float
) -> Iterator[tuple[int, str, tuple[float, float, float]]]:
    """Yield indices, numbers, and the first place of each that is on no line and earlier number.

    A place is its middle and the height of the number. Numbers without one are left out.
    """
    taken: list[tuple[float, ...]] = []
    places = _free(wishes, _NEAR[:_TRIED], lines, letter)
    for at, (wish, first) in enumerate(zip(wishes, places, strict=True)):
        found = _untaken(first, taken)
        if found is None:
            (farther,) = _free([wish], wish.farther, lines, letter)
            found = _untaken(farther, taken)
        if wish.on is not None and (found is None or not _is_inside(found, wish.on.box)):
            tried = [*_NEAR, *((min(_SIZES), away) for away in _FARTHER)]
            (over,) = _free([wish], tried, _Lines(wish.on.lines), letter)
            inside = (each for each in over if _is_inside(each, wish.on.box))
            found = _untaken(inside, taken)
        if found is not None:
            x, y, half_wide, half_high, size = found
            taken.append((x - half_wide, y - half_high, x + half_wide, y + half_high))
            yield at, _(wish.text), (x, y, size)


def _free(
    wishes: Sequence[_Wish], tried: Sequence[tuple[float, float]], lines: _Lines, letter: float
) -> Iterator[Iterator[list[float]]]:
    """Yield the places of each number that no line touches, the best first.

    Each is its middle, half its width and height with room about the figures, and their height.

    Args:
        wishes: the numbers.
        tried: heights and distances from the start in heights, as shares of the letters'.
        lines: what is drawn.
        letter: height of letters, mm.
    """
    sizes, aways = np.array(tried).T
    sizes = 0.85 * letter * sizes
    turns = np.array([wish.into for wish in wishes])[:, None, None] + _TURNS
    away = (aways * sizes)[:, None]
    x, y = np.array([wish.start for wish in wishes]).T[:, :, None, None]
    wide = np.array([_WIDE * len(wish.text) / 2.0 + _ROOM for wish in wishes])[:, None, None]
    high = sizes[:, None]
    # Each of the five in a row of its own, because that is quicker to calculate with.
    table = np.empty((5, len(wishes), len(sizes), len(_TURNS)))
    table[0] = x + away * np.cos(turns)
    table[1] = y + away * np.sin(turns)
    table[2], table[3], table[4] = wide * high, (0.4 + _ROOM) * high, high
    places = table.reshape(5, len(wishes), -1)
    clear = lines.are_clear_of(places[:2], places[2:4])
    for own, free in zip(places.transpose(1, 2, 0), clear, strict=True):
        # One at a time, because mostly the first is taken.
        yield map(_listed, own[free])


def _listed(place: _Numbers) -> list[float]:
    found: list[float] = place.tolist()
    return found


def _is_inside(place: Sequence[float], box: Bounds) -> bool:
    x, y, wide, high, _size = place
    return (
        box.left <= x - wide
        and x + wide <= box.right
        and box.bottom <= y - high
        and y + high <= box.top
    )


def _untaken(
    places: Iterable[Sequence[float]], taken: Sequence[tuple[float, ...]]
) -> Sequence[float] | None:
    """Return the first place that touches no earlier number."""
    for place in places:
        x, y, wide, high, _ = place
        left, right, bottom, top = x - wide, x + wide, y - high, y + high
        for box in taken:
            if right > box[0] and box[2] > left and top > box[1] and box[3] > bottom:
                break
        else:
            return place
    return None
