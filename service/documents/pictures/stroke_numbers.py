"""Numbers at the starts of strokes in the picture of a tool's path."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
import shapely

from geometry.model.plan import Stroke
from geometry.model.points import Point, ahead, distance, heading
from service.documents.pictures.legend import THIN
from service.documents.pictures.looks import INK
from service.documents.pictures.path import number
from service.documents.pictures.piece_labels import LETTERS

#: Strokes of one panel that are all numbered; of more, every so many.
_NUMBERED = 120
#: Width of a figure, as a share of its height, and the room about a number.
_WIDE, _ROOM = 0.66, 0.12
#: Which strokes are numbered first where there is no room for all.
_FIRST = {"outline": 0, "hole": 1}
#: Where a number is tried: heights, distances from the start in heights, turns from the way into
#: the piece, in sixteenths of a turn.
_SIZES, _AWAY = (1.0, 0.8, 0.6), (0.9, 1.3, 1.8, 2.5)
#: Further distances for the cut that brings a blade into line: it is no piece's, and a speck
#: without a name.
_FARTHER = (3.5, 5.0, 7.0, 10.0)
_TURNS = (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6, -6, 7, -7, 8)
#: Places that are tried together at first: three distances.
_TRIED = 3 * len(_TURNS)


def stroke_numbers(
    strokes: Sequence[Stroke],
    first: int,
    middles: Sequence[Point],
    letter: float,
    lines: Sequence[Sequence[Point]],
) -> Iterator[str]:
    """Yield a circle at each start and the stroke's number, drawn a little into its piece.

    A number that would stand on a line or on another number is left out: the ways between show
    the order.

    Args:
        strokes: of one panel.
        first: number of the first.
        middles: of the load's placed pieces.
        letter: height of letters, mm.
        lines: whatever is drawn in the panel, as polylines.
    """
    yield f'<g fill="#fff" stroke="{INK}" stroke-width="{number(THIN * letter)}">'
    radius = number(0.18 * letter)
    for stroke in strokes:
        x, y = stroke.vertices[0].point
        yield f'<circle cx="{number(x, 2)}" cy="{number(y, 2)}" r="{radius}"/>'
    yield "</g>"
    yield f"<g {LETTERS}>"
    for spot in _clear(_wishes(strokes, first, middles, letter), lines):
        x, y = spot.at
        yield (
            f'<text transform="matrix(1 0 0 -1 {number(x, 2)} {number(y, 2)})" '
            f'y="{number(0.35 * spot.size, 2)}" font-size="{number(spot.size, 2)}">'
            f"{spot.text}</text>"
        )
    yield "</g>"


@dataclass(frozen=True)
class _Spot:
    """A number, where its middle stands, and its height."""

    text: str
    at: Point
    size: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Return left, bottom, right and top of its figures with room about them."""
        wide = (_WIDE * len(self.text) / 2.0 + _ROOM) * self.size
        high = (0.4 + _ROOM) * self.size
        return self.at.x - wide, self.at.y - high, self.at.x + wide, self.at.y + high


def _wishes(
    strokes: Sequence[Stroke], first: int, middles: Sequence[Point], letter: float
) -> Iterator[Iterator[_Spot]]:
    """Yield the places where each number may stand, the best first; the most useful number first.

    The first and the last of a panel are found by the sheet, which says when to stop.
    """
    every = math.ceil(len(strokes) / _NUMBERED)
    last = len(strokes) - 1
    chosen = {at for at in range(len(strokes)) if (first + at - 1) % every == 0} | {0, last}
    for at in sorted(
        chosen, key=lambda at: (at not in {0, last}, _FIRST.get(strokes[at].part, 2), at)
    ):
        stroke = strokes[at]
        text = "line-up" if stroke.part == "line-up" else str(first + at)
        yield _places(stroke, text, middles, letter)


def _places(stroke: Stroke, text: str, middles: Sequence[Point], letter: float) -> Iterator[_Spot]:
    start = stroke.vertices[0].point
    into = stroke.segments[0].start_heading + math.pi / 4.0
    if stroke.placement is not None and distance(start, middles[stroke.placement]) > 0.0:
        into = heading(start, middles[stroke.placement])
    near = [(size, away) for size in _SIZES for away in _AWAY]
    far = [(min(_SIZES), away) for away in _FARTHER] if stroke.part == "line-up" else []
    heights = [(share * 0.85 * letter, away) for share, away in (*near, *far)]
    return (
        _Spot(text, ahead(start, into + turn * math.pi / 8.0, away * size), size)
        for size, away in heights
        for turn in _TURNS
    )


def _clear(wishes: Iterable[Iterator[_Spot]], lines: Sequence[Sequence[Point]]) -> Iterator[_Spot]:
    """Yield for each number the first of its places that is on no line and no earlier number."""
    tree = shapely.STRtree([shapely.LineString(line) for line in lines if len(line) > 1])
    taken: list[tuple[float, float, float, float]] = []
    for places in wishes:
        free = (spot for spot in _on_no_line(places, tree) if _is_apart(spot.box, taken))
        found = next(free, None)
        if found is not None:
            taken.append(found.box)
            yield found


def _on_no_line(places: Iterator[_Spot], tree: shapely.STRtree) -> Iterator[_Spot]:
    """Yield the places that are on no line; look at a quarter first: mostly one is there."""
    for some in (islice(places, _TRIED), places):
        spots = list(some)
        if spots:
            boxes = shapely.box(*np.array([spot.box for spot in spots]).T)
            crossed = set(tree.query(boxes, predicate="intersects")[0].tolist())
            yield from (spot for at, spot in enumerate(spots) if at not in crossed)


def _is_apart(
    box: tuple[float, float, float, float], taken: Sequence[tuple[float, float, float, float]]
) -> bool:
    return all(
        box[2] <= other[0] or other[2] <= box[0] or box[3] <= other[1] or other[3] <= box[1]
        for other in taken
    )
