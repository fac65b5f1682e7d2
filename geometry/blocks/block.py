"""A block: everything that is known of a drawing's pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from geometry.blocks.drawing import FoundBlock, find_block
from geometry.blocks.groups import Group, find_groups
from geometry.blocks.network import Drawn
from geometry.blocks.seams import Mismatch, Seam, find_mismatches, find_seams
from geometry.blocks.sides import PieceSide, SideTable, find_sides, outline_of, sides_of
from geometry.model.outline import Outline


@dataclass(frozen=True)
class DrawnBlock:
    """A block and its pieces.

    Args:
        found: the faces of the drawing.
        side_table: the sides of all pieces.
        outside: whether each side lies on the block's edge.
        groups: of congruent pieces.
        seams: where pieces meet.
        mismatches: sides that meet and differ.
        tolerance: within which ends were snapped, mm.
    """

    found: FoundBlock
    side_table: SideTable
    outside: NDArray[np.bool_]
    groups: tuple[Group, ...]
    seams: tuple[Seam, ...]
    mismatches: tuple[Mismatch, ...]
    tolerance: float

    @cached_property
    def outline(self) -> Outline:
        """Return the outline of the block, without corners along one line or circle."""
        return outline_of(sides_of(self.found.network, self.found.outer, self.tolerance))

    @property
    def sides(self) -> tuple[tuple[PieceSide, ...], ...]:
        """Return the sides of each piece."""
        return self.side_table.pieces

    def is_outside(self, piece: int) -> list[bool]:
        """Return whether each side of a piece lies on the block's edge."""
        table = self.side_table.table
        begin = int(table.begins[piece])
        found: list[bool] = self.outside[begin : begin + int(table.counts[piece])].tolist()
        return found

    def outline_of(self, piece: int) -> Outline:
        """Return the outline of a piece, without corners along one line or circle."""
        return self.side_table.outlines[piece]


def read_block(
    drawn: Sequence[Drawn], *, tolerance: float, remove_loose: bool = False
) -> DrawnBlock:
    """Return the block that a drawing shows; see :func:`geometry.blocks.drawing.find_block`."""
    found = find_block(drawn, tolerance=tolerance, remove_loose=remove_loose)
    sides = find_sides(found.network, [face.ring for face in found.faces], tolerance)
    is_outer = np.array(found.of_half).reshape(-1, 2)[:, ::-1].ravel() < 0
    outside = sides.of_all_halves(is_outer)
    groups = find_groups(sides, outside, tolerance)
    return DrawnBlock(
        found=found,
        side_table=sides,
        outside=outside,
        groups=groups,
        seams=find_seams(found, tolerance),
        mismatches=find_mismatches(sides, groups),
        tolerance=tolerance,
    )
