"""Where the numbers of strokes stand in a picture: beside their starts, over nothing else."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from geometry import polygons
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
_TRIED = 3
_Numbers = npt.NDArray[np.float64]
#: A number, its middle and the height of its figures.
PlacedNumber = tuple[int, str, Point, float]


def placed_numbers(
    strokes: Sequence[Stroke],
    chosen: Collection[int],
    first: int,
    middles: Sequence[Point],
    letter: float,
    lines: Sequence[Sequence[Point]],
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


@dataclass(frozen=True)
class _Wish:
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
    into = stroke.segments[0].start_heading + math.pi / 4.0
    if stroke.placement is not None and distance(start, middles[stroke.placement]) > 0.0:
        into = heading(start, middles[stroke.placement])
    text = _LINE_UP if stroke.part == "line-up" else text
    return _Wish(text, start, into, is_urgent, on)


class _Lines:
    """Whatever is drawn in a panel, as straight segments."""

    def __init__(self, lines: Sequence[Sequence[Point]]) -> None:
        ends = [pair for line in lines for pair in pairwise(line)]
        self._ends = np.array(ends, dtype=float).reshape(-1, 2, 2)
        self._tree = polygons.STRtree(polygons.linestrings(self._ends))

    def are_clear_of(self, middles: _Numbers, halves: _Numbers) -> npt.NDArray[np.bool_]:
        """Return which boxes no line touches.

        Args:
            middles: of the boxes, one in each row.
            halves: half their widths and heights.
        """
        boxes = polygons.box(*(middles - halves).T, *(middles + halves).T)
        # A segment near a box misses it only if all corners are on one side of its line.
        box, near = self._tree.query(boxes)
        start, way = self._ends[near, 0], self._ends[near, 1] - self._ends[near, 0]
        off = middles[box] - start
        side = np.abs(way[:, 0] * off[:, 1] - way[:, 1] * off[:, 0])
        reach = np.abs(way[:, 0]) * halves[box, 1] + np.abs(way[:, 1]) * halves[box, 0]
        found = np.ones(len(boxes), dtype=bool)
        found[box[side <= reach]] = False
        return found


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
            inside = [each for each in over if _is_inside(each, wish.on.box)]
            found = _untaken(inside, taken)
        if found is not None:
            x, y, half_wide, half_high, size = found
            taken.append((x - half_wide, y - half_high, x + half_wide, y + half_high))
            yield at, _(wish.text), (x, y, size)


def _free(
    wishes: Sequence[_Wish], tried: Sequence[tuple[float, float]], lines: _Lines, letter: float
) -> Iterator[list[list[float]]]:
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
    starts = np.array([wish.start for wish in wishes])
    turns = np.array([wish.into for wish in wishes])[:, None] + _TURNS
    ways = np.stack((np.cos(turns), np.sin(turns)), axis=-1)
    middles = starts[:, None, None] + (aways * sizes)[:, None, None] * ways[:, None]
    wide = np.array([_WIDE * len(wish.text) / 2.0 + _ROOM for wish in wishes])
    shape = (*middles.shape[:3], 1)
    high = np.broadcast_to(sizes[:, None, None], shape)
    places = np.concatenate(
        (middles, wide[:, None, None, None] * high, (0.4 + _ROOM) * high, high), axis=-1
    ).reshape(len(wishes), -1, 5)
    flat = places.reshape(-1, 5)
    clear = lines.are_clear_of(flat[:, :2], flat[:, 2:4]).reshape(len(wishes), -1)
    for own, free in zip(places, clear, strict=True):
        yield own[free].tolist()


def _is_inside(place: Sequence[float], box: Bounds) -> bool:
    x, y, wide, high, _size = place
    return (
        box.left <= x - wide
        and x + wide <= box.right
        and box.bottom <= y - high
        and y + high <= box.top
    )


def _untaken(
    places: Sequence[Sequence[float]], taken: Sequence[tuple[float, ...]]
) -> Sequence[float] | None:
    """Return the first place that touches no earlier number."""
    for place in places:
        x, y, wide, high, _ = place
        if all(
            x + wide <= box[0] or box[2] <= x - wide or y + high <= box[1] or box[3] <= y - high
            for box in taken
        ):
            return place
    return None
