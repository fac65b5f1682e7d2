"""Settings of separate blocks: turned, with sashing and cornerstones, with plain blocks, on point.

Source:
    On point, blocks stand on their tips; side triangles have the block's diagonal as their long
    side, corner triangles its side. Sashing there runs round every block, and the edges cut the
    outer cornerstones in half. Common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from geometry.errors import GeometryError
from geometry.planning.assembly import MAX_PIECES, Assembly, PlacedPiece
from geometry.planning.frames import NEAR, Frame
from geometry.planning.plane import Axis, Plane, Spot
from geometry.planning.sashing import sashing_on_point
from geometry.planning.set_pieces import Pieces, Sashing, turned_rows
from geometry.sentences import number_of

_ROOT2 = math.sqrt(2.0)
_HALF_TURN = 180


@dataclass(frozen=True)
class BlockSetting:
    """How blocks are set.

    Args:
        is_on_point: whether they stand on their tips.
        turns_deg: turns of the blocks, row by row from the lower left, repeated.
        mirrored: whether blocks are mirrored left to right before that, likewise.
        sashing: between them.
        alternate_colour: of plain squares in every other place; empty for none.
        triangle_colour: of the triangles at the edges, on point.
    """

    is_on_point: bool = False
    turns_deg: tuple[tuple[int, ...], ...] = ((0,),)
    mirrored: tuple[tuple[bool, ...], ...] = ((False,),)
    sashing: Sashing | None = None
    alternate_colour: str = ""
    triangle_colour: str = ""

    def turn_at(self, row: int, column: int) -> int:
        """Return the turn of a block."""
        turns = self.turns_deg[row % len(self.turns_deg)]
        return turns[column % len(turns)]

    def is_mirrored_at(self, row: int, column: int) -> bool:
        """Return whether a block is mirrored."""
        mirrored = self.mirrored[row % len(self.mirrored)]
        return mirrored[column % len(mirrored)]


def check_block(plane: Plane, setting: BlockSetting) -> None:
    """Check that a plane consists of blocks that can be set so.

    Raises:
        GeometryError: when it does not.
    """
    for spot in plane.spots:
        box = plane.protos[spot.proto].outline.bounds
        if (
            spot.x + box.left < -NEAR
            or spot.y + box.bottom < -NEAR
            or spot.x + box.right > plane.width + NEAR
            or spot.y + box.top > plane.height + NEAR
            or plane.rows * plane.columns > 1
        ):
            raise GeometryError(
                "The pieces of this tiling are not in separate blocks, so they cannot be set. Use "
                "squares, rectangles, eight-point stars, lone stars or a block of your own.",
                where=("setting",),
            )
    if math.isclose(plane.width, plane.height, rel_tol=1e-9):
        return
    if setting.is_on_point:
        detail = "Only square blocks are set on point; these are not square."
        raise GeometryError(detail, where=("setting", "layout"))
    for row, turns in enumerate(setting.turns_deg):
        for column, turn in enumerate(turns):
            if turn % _HALF_TURN:
                detail = "These blocks are not square: turn them by 0 or 180 degrees."
                raise GeometryError(detail, where=("setting", "turns_deg", row, column))


def set_straight(block: Plane, setting: BlockSetting) -> Plane:
    """Return the plane of blocks in straight rows, with their sashing.

    Raises:
        GeometryError: when its turns and mirror images repeat after too many pieces.
    """
    pieces = Pieces(block)
    sash = setting.sashing.width if setting.sashing else 0.0
    step_x, step_y = block.width + sash, block.height + sash
    turns, mirrored = setting.turns_deg, setting.mirrored
    every = 2 if setting.alternate_colour else 1
    rows = math.lcm(len(turns), len(mirrored), every)
    columns = math.lcm(len(turns[0]), len(mirrored[0]), every)
    if rows * columns * len(block.spots) > MAX_PIECES:
        raise GeometryError(
            f"These blocks repeat after {number_of(rows, 'row')} of {columns}, which have more "
            f"than {MAX_PIECES:,} pieces. Use fewer turns and mirror images, or simpler blocks.",
            where=("setting", "turns_deg" if len(turns) * len(turns[0]) > 1 else "mirrored"),
        )
    spots: list[Spot] = []
    strips = _sashes(pieces, setting)
    plain = None
    if setting.alternate_colour:
        plain = pieces.rectangle(block.width, block.height, setting.alternate_colour)
    for row in range(rows):
        for column in range(columns):
            x, y = column * step_x, row * step_y
            middle = (x + block.width / 2.0, y + block.height / 2.0)
            if plain is not None and (row + column) % 2:
                spots.append(Spot(plain, *middle, row, column))
            else:
                found = _block(pieces, setting, (row, column), middle)
                spots += [Spot(proto, px, py, row, column) for proto, px, py in found]
            spots += [Spot(proto, x + px, y + py, row, column) for proto, px, py in strips]
    outer = sash if setting.sashing and setting.sashing.is_outer else 0.0
    return Plane(
        protos=tuple(pieces.protos),
        spots=tuple(spots),
        width=columns * step_x,
        height=rows * step_y,
        rows=rows,
        columns=columns,
        across=_axis(step_x, sash, outer),
        along=_axis(step_y, sash, outer),
    )


def _axis(step: float, sash: float, outer: float) -> Axis:
    return Axis(-outer, step, step, base=2.0 * outer - sash, cut_start=-sash / 2.0)


def _sashes(pieces: Pieces, setting: BlockSetting) -> list[tuple[int, float, float]]:
    """Return the strips right of and above a block, and the cornerstone between them."""
    sashing, block = setting.sashing, pieces.block
    if sashing is None:
        return []
    wide = sashing.width
    x, y = block.width + wide / 2.0, block.height + wide / 2.0
    return [
        (pieces.rectangle(wide, block.height, sashing.colour), x, block.height / 2.0),
        (pieces.rectangle(block.width, wide, sashing.colour), block.width / 2.0, y),
        (pieces.rectangle(wide, wide, sashing.cornerstone_colour), x, y),
    ]


def on_point_axis(block: Plane, setting: BlockSetting) -> Axis:
    """Return the sizes that blocks on point make: whole diagonals, with their sashing."""
    diagonal = _pitch(block, setting) * _ROOT2
    return Axis(0.0, diagonal, diagonal)


def _pitch(block: Plane, setting: BlockSetting) -> float:
    """Return the distance from a block to the next one along its side."""
    return block.width + (setting.sashing.width if setting.sashing else 0.0)


def set_on_point(block: Plane, setting: BlockSetting, columns: int, rows: int) -> Assembly:
    """Return the assembly of this many blocks on point, from tip to tip, with setting triangles.

    Raises:
        GeometryError: when it would have too many pieces.
    """
    diagonal = _pitch(block, setting) * _ROOT2
    sashes = 6 * columns * rows if setting.sashing else 0
    count = (2 * columns * rows) * len(block.spots) + sashes
    if count > MAX_PIECES:
        raise GeometryError(
            f"This quilt would take about {count:,} pieces; the most that is planned is "
            f"{MAX_PIECES:,}. Use larger blocks or a smaller quilt."
        )
    pieces = Pieces(block)
    placed = [
        PlacedPiece(proto, x, y, row, column, "whole")
        for row, column, spots in _tips(pieces, setting, columns, rows)
        for proto, x, y in spots
    ]
    placed += _triangles(pieces, setting, columns, rows)
    if setting.sashing is not None:
        placed += sashing_on_point(pieces, setting.sashing, columns, rows)
    axis = on_point_axis(block, setting)
    plane = Plane(tuple(pieces.protos), (), diagonal, diagonal, 1, 1, axis, axis)
    order = sorted(placed, key=lambda each: (each.row, each.column, each.proto))
    across = Frame(0.0, columns * diagonal, "filled", columns)
    return Assembly(plane, across, Frame(0.0, rows * diagonal, "filled", rows), tuple(order))


def _tips(
    pieces: Pieces, setting: BlockSetting, columns: int, rows: int
) -> Iterator[tuple[int, int, Iterator[tuple[int, float, float]]]]:
    """Yield each block with its row and column, the ones between counted as rows of their own."""
    half = _pitch(pieces.block, setting) / _ROOT2
    between = None
    if setting.alternate_colour:
        reach = pieces.block.width / _ROOT2
        tip = [(0.0, -reach), (reach, 0.0), (0.0, reach), (-reach, 0.0)]
        size = {"side": pieces.block.width}
        between = pieces.plain("square", size, tip, setting.alternate_colour)
    for row in range(2 * rows - 1):
        is_between = bool(row % 2)
        for column in range(columns - is_between):
            x, y = (2 * column + 1 + is_between) * half, (row + 1) * half
            if is_between and between is not None:
                yield row, column, iter([(between, x, y)])
            else:
                yield row, column, _block(pieces, setting, (row, column), (x, y), on_tip=45)


def _block(
    pieces: Pieces,
    setting: BlockSetting,
    cell: tuple[int, int],
    middle: tuple[float, float],
    *,
    on_tip: int = 0,
) -> Iterator[tuple[int, float, float]]:
    """Return the pieces of the block in a row and column, as the setting turns and mirrors it."""
    turn, mirrored = setting.turn_at(*cell), setting.is_mirrored_at(*cell)
    return pieces.block_at(turn + on_tip, *middle, mirrored=mirrored)


def _triangles(
    pieces: Pieces, setting: BlockSetting, columns: int, rows: int
) -> Iterator[PlacedPiece]:
    """Yield the triangles that fill the sides and the corners."""
    side = pieces.block.width
    half, reach = _pitch(pieces.block, setting) / _ROOT2, side / _ROOT2
    wide, high = 2 * columns * half, 2 * rows * half
    colour = setting.triangle_colour
    base = {"base": 2.0 * reach}
    ring = [(-reach, 0.0), (reach, 0.0), (0.0, reach)]
    below, right, above, left = (
        pieces.plain("quarter_square_triangle", base, turned_rows(ring, quarter), colour)
        for quarter in range(4)
    )
    last = 2 * rows - 2
    for column in range(1, columns):
        yield PlacedPiece(below, 2 * column * half, 0.0, 0, column, "whole")
        yield PlacedPiece(above, 2 * column * half, high, last, column, "whole")
    for row in range(1, rows):
        yield PlacedPiece(left, 0.0, 2 * row * half, 2 * row - 1, 0, "whole")
        yield PlacedPiece(right, wide, 2 * row * half, 2 * row - 1, columns, "whole")
    for x, y, corner_x, corner_y, row in (
        (1, 1, 0.0, 0.0, 0),
        (-1, 1, wide, 0.0, 0),
        (-1, -1, wide, high, last),
        (1, -1, 0.0, high, last),
    ):
        tip = [(0.0, 0.0), (x * reach, 0.0), (0.0, y * reach)]
        # A mirrored ring runs the other way.
        tip = tip if x * y > 0 else tip[::-1]
        corner = pieces.plain("quarter_square_triangle", {"base": side}, tip, colour)
        yield PlacedPiece(corner, corner_x, corner_y, row, 0 if x > 0 else columns - 1, "whole")
