"""A block of one's own: straight-sided pieces that fill a square."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from geometry import polygons
from geometry.errors import GeometryError, GeometryFaults
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.planning.plane import Axis, Plane, Proto, Spot
from geometry.validate import require_simple

#: Share of a block's area that rounding may leave open or covered twice.
_NEAR = 1e-6


@dataclass(frozen=True)
class BlockPiece:
    """One piece of a block, and its colour; about the block's lower left corner, mm."""

    outline: Outline
    colour: str


@dataclass(frozen=True)
class Block:
    """A square block: its side, mm, and its pieces."""

    size: float
    pieces: tuple[BlockPiece, ...]

    def plane(self) -> Plane:
        """Return the plane of these blocks side by side."""
        axis = Axis(0.0, self.size, self.size)
        return Plane(
            protos=tuple(Proto("custom", {}, each.outline, each.colour) for each in self.pieces),
            spots=tuple(Spot(number, 0.0, 0.0, 0, 0) for number in range(len(self.pieces))),
            width=self.size,
            height=self.size,
            rows=1,
            columns=1,
            across=axis,
            along=axis,
        )


def make_block(size: float, pieces: Sequence[tuple[Outline, str]]) -> Block:
    """Return the block that these pieces fill.

    Raises:
        GeometryError: when they leave it, overlap, or do not fill it; ``where`` is below the block.
    """
    errors: list[GeometryError] = []
    made: list[BlockPiece] = []
    for index, (outline, colour) in enumerate(pieces):
        try:
            made.append(BlockPiece(_checked(outline, size), colour))
        except GeometryError as error:
            found = error.faults if isinstance(error, GeometryFaults) else (error,)
            for each in found:
                each.where = ("pieces", index, "points", *each.where)
            errors += found
    if errors:
        raise GeometryFaults(tuple(errors))
    _check_filled(size, made)
    return Block(size, tuple(made))


def _checked(outline: Outline, size: float) -> Outline:
    if outline.has_arcs:
        raise GeometryError("The pieces of a block have straight edges: leave the bulges out.")
    outline = require_simple(outline)
    box, near = outline.bounds, _NEAR * size
    if min(box.left, box.bottom) < -near or max(box.right, box.top) > size + near:
        raise GeometryError(
            "This piece reaches outside the block, which goes from (0, 0) to "
            f"({size:g}, {size:g}) mm."
        )
    return outline


def _check_filled(size: float, pieces: Sequence[BlockPiece]) -> None:
    whole = size * size
    total = math.fsum(area(each.outline) for each in pieces)
    covered = polygons.union_all(
        [polygons.Polygon([row[:2] for row in each.outline.rows()]) for each in pieces]
    ).area
    if total - covered > _NEAR * whole:
        raise GeometryError(
            f"Pieces of this block overlap, on {100.0 * (total - covered) / whole:.3g} % of it; "
            "they have to lie edge to edge.",
            where=("pieces",),
        )
    if whole - covered > _NEAR * whole:
        raise GeometryError(
            f"The pieces fill {100.0 * covered / whole:.4g} % of this block; they have to fill it.",
            where=("pieces",),
        )
