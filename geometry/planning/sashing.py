"""Sashing between blocks on point, with cornerstones where it crosses.

Source:
    Elementary: blocks on point and their sashing are the straight setting turned by 45 degrees. An
    edge along the diagonal of its cells runs through middles of cells and of cornerstones, so it
    halves cornerstones and leaves every strip whole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from geometry.planning.assembly import PlacedPiece
from geometry.planning.set_pieces import Pieces, Rows, Sashing, turned_rows

_ROOT2 = math.sqrt(2.0)


def sashing_on_point(
    pieces: Pieces, sashing: Sashing, columns: int, rows: int
) -> Iterator[PlacedPiece]:
    """Yield strips and cornerstones between this many blocks from tip to tip."""
    half = (pieces.block.width + sashing.width) / _ROOT2
    yield from _strips(pieces, sashing, columns, rows, half)
    yield from _cornerstones(pieces, sashing, columns, rows, half)


def _strips(
    pieces: Pieces, sashing: Sashing, columns: int, rows: int, half: float
) -> Iterator[PlacedPiece]:
    long, wide = pieces.block.width, sashing.width
    values = {"width": wide, "height": long}
    a, b = (long + wide) / (2.0 * _ROOT2), (long - wide) / (2.0 * _ROOT2)
    # Its long side runs up to the right.
    ring: Rows = [(-b, -a), (a, b), (b, a), (-a, -b)]
    up, down = (
        pieces.plain(
            *(("rectangle", values) if long != wide else ("square", {"side": wide})),
            turned_rows(ring, quarter),
            sashing.colour,
        )
        for quarter in range(2)
    )
    for row in range(2 * rows):
        for column in range(2 * columns):
            proto = up if (row + column) % 2 else down
            yield PlacedPiece(
                proto, (column + 0.5) * half, (row + 0.5) * half, row, column, "whole"
            )


def _cornerstones(
    pieces: Pieces, sashing: Sashing, columns: int, rows: int, half: float
) -> Iterator[PlacedPiece]:
    reach = sashing.width / _ROOT2
    colour = sashing.cornerstone_colour
    tip: Rows = [(0.0, -reach), (reach, 0.0), (0.0, reach), (-reach, 0.0)]
    whole = pieces.plain("square", {"side": sashing.width}, tip, colour)
    ring: Rows = [(-reach, 0.0), (reach, 0.0), (0.0, reach)]
    below, right, above, left = (
        pieces.plain(
            "quarter_square_triangle", {"base": 2.0 * reach}, turned_rows(ring, quarter), colour
        )
        for quarter in range(4)
    )
    for row in range(2 * rows + 1):
        for column in range((row + 1) % 2, 2 * columns + 1, 2):
            proto = whole
            if row in {0, 2 * rows}:
                proto = above if row else below
            elif column in {0, 2 * columns}:
                proto = right if column else left
            # An edge's own pieces belong to the row beside it.
            near = min(row, 2 * rows - 1), min(column, 2 * columns - 1)
            yield PlacedPiece(proto, column * half, row * half, *near, "whole")
