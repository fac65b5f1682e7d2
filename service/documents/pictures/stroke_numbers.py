"""Numbers at the starts of strokes in the picture of a tool's path."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from geometry.model.plan import Stroke
from geometry.model.points import Point, ahead, distance, heading
from service.documents.pictures.legend import THIN
from service.documents.pictures.looks import INK
from service.documents.pictures.path import number
from service.documents.pictures.piece_labels import LETTERS

#: Strokes of one panel that are all numbered; of more, every so many.
_NUMBERED = 120
#: Width of a figure, as a share of its height.
_WIDE = 0.62
#: Which strokes are numbered first where there is no room for all.
_FIRST = {"outline": 0, "hole": 1}


def stroke_numbers(
    strokes: Sequence[Stroke], first: int, middles: Sequence[Point], letter: float
) -> Iterator[str]:
    """Yield a circle at each start and the stroke's number, drawn a little into its piece.

    A number that would stand on another is left out: the ways between show the order.

    Args:
        strokes: of one panel.
        first: number of the first.
        middles: of the load's placed pieces.
        letter: height of letters, mm.
    """
    yield f'<g fill="#fff" stroke="{INK}" stroke-width="{number(THIN * letter)}">'
    radius = number(0.18 * letter)
    for stroke in strokes:
        x, y = stroke.vertices[0].point
        yield f'<circle cx="{number(x, 2)}" cy="{number(y, 2)}" r="{radius}"/>'
    yield "</g>"
    yield f'<g stroke="#fff" paint-order="stroke" stroke-linejoin="round" {LETTERS}>'
    for spot, size, text in _apart(list(_spots(strokes, first, middles, letter))):
        yield (
            f'<text transform="matrix(1 0 0 -1 {number(spot.x, 2)} {number(spot.y, 2)})" '
            f'y="{number(0.35 * size, 2)}" font-size="{number(size, 2)}" '
            f'stroke-width="{number(0.18 * size, 2)}">{text}</text>'
        )
    yield "</g>"


_Spot = tuple[Point, float, str]


def _spots(
    strokes: Sequence[Stroke], first: int, middles: Sequence[Point], letter: float
) -> Iterator[_Spot]:
    """Yield place, height and text of the numbers, the most useful first."""
    every = math.ceil(len(strokes) / _NUMBERED)
    chosen = [at for at in range(len(strokes)) if (first + at - 1) % every == 0]
    ends = {0, len(strokes) - 1}
    for at in sorted(chosen, key=lambda at: (at not in ends, _FIRST.get(strokes[at].part, 2), at)):
        stroke = strokes[at]
        text = "line-up" if stroke.part == "line-up" else str(first + at)
        yield (*_spot(stroke, middles, letter), text)


def _apart(spots: Sequence[_Spot]) -> Iterator[_Spot]:
    """Yield the numbers that stand on no earlier one."""
    taken: list[tuple[float, float, float, float]] = []
    for spot, size, text in spots:
        half = _WIDE * size * len(text) / 2.0
        box = (spot.x - half, spot.y - size / 2.0, spot.x + half, spot.y + size / 2.0)
        if all(
            box[2] <= other[0] or other[2] <= box[0] or box[3] <= other[1] or other[3] <= box[1]
            for other in taken
        ):
            taken.append(box)
            yield spot, size, text


def _spot(stroke: Stroke, middles: Sequence[Point], letter: float) -> tuple[Point, float]:
    """Return where a stroke's number stands and how large: towards the middle of its piece."""
    start = stroke.vertices[0].point
    size = 0.85 * letter
    if stroke.placement is None:
        return ahead(start, stroke.segments[0].start_heading + math.pi / 4.0, 1.2 * size), size
    middle = middles[stroke.placement]
    away = distance(start, middle)
    if stroke.part != "outline" and away < 2.0 * size:
        # A hole in the middle of its piece: the number stands outside it.
        size *= 0.75
        return ahead(start, heading(middle, start), 1.1 * size), size
    size = min(size, 0.4 * away)
    return ahead(start, heading(start, middle), min(1.5 * size, 0.5 * away)), size
