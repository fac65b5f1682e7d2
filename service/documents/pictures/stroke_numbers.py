"""Numbers at the starts of strokes in the picture of a tool's path."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from geometry.model.plan import Stroke
from geometry.model.points import Point
from service.documents.pictures.legend import THIN
from service.documents.pictures.looks import INK
from service.documents.pictures.number_places import placed_numbers
from service.documents.pictures.path import number
from service.documents.pictures.piece_labels import LETTERS

#: Strokes of one panel that are all numbered; of more, every so many.
_NUMBERED = 120


def stroke_numbers(
    strokes: Sequence[Stroke],
    first: int,
    middles: Sequence[Point],
    letter: float,
    lines: Sequence[Sequence[tuple[float, float]]],
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
    every, last = math.ceil(len(strokes) / _NUMBERED), len(strokes) - 1
    chosen = {at for at in range(len(strokes)) if (first + at - 1) % every == 0} | {0, last}
    # The first and the last of a panel are found by the sheet, which says when to stop.
    urgent = {0, last}
    placed = placed_numbers(strokes, chosen, first, middles, letter, lines, urgent)
    for _at, text, (x, y), size in placed:
        yield (
            f'<text transform="matrix(1 0 0 -1 {number(x, 2)} {number(y, 2)})" '
            f'y="{number(0.35 * size, 2)}" font-size="{number(size, 2)}">{text}</text>'
        )
    yield "</g>"
