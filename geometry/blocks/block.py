"""A block: everything that is known of a drawing's pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from geometry.blocks.drawing import FoundBlock, find_block
from geometry.blocks.groups import Group, find_groups
from geometry.blocks.network import Drawn
from geometry.blocks.seams import Mismatch, Seam, find_mismatches, find_seams
from geometry.blocks.sides import PieceSide, find_sides, outline_of, sides_of
from geometry.model.outline import Outline


@dataclass(frozen=True)
class DrawnBlock:
    """A block and its pieces.

    Args:
        found: the faces of the drawing.
        sides: of each piece.
        is_outside: of each piece, whether each side lies on the block's edge.
        groups: of congruent pieces.
        seams: where pieces meet.
        mismatches: sides that meet and differ.
        tolerance: within which ends were snapped, mm.
    """

    found: FoundBlock
    sides: tuple[tuple[PieceSide, ...], ...]
    is_outside: tuple[tuple[bool, ...], ...]
    groups: tuple[Group, ...]
    seams: tuple[Seam, ...]
    mismatches: tuple[Mismatch, ...]
    tolerance: float

    @cached_property
    def outline(self) -> Outline:
        """Return the outline of the block, without corners along one line or circle."""
        return outline_of(sides_of(self.found.network, self.found.outer, self.tolerance))

    def outline_of(self, piece: int) -> Outline:
        """Return the outline of a piece, without corners along one line or circle."""
        return outline_of(self.sides[piece])


def read_block(
    drawn: Sequence[Drawn], *, tolerance: float, remove_loose: bool = False
) -> DrawnBlock:
    """Return the block that a drawing shows; see :func:`geometry.blocks.drawing.find_block`."""
    found = find_block(drawn, tolerance=tolerance, remove_loose=remove_loose)
    sides = find_sides(found.network, [face.ring for face in found.faces], tolerance)
    is_outside = tuple(
        tuple(all(found.of_half[half ^ 1] < 0 for half in side.halves) for side in piece)
        for piece in sides
    )
    outside = [
        [side for side, is_out in zip(piece, flags, strict=True) if is_out]
        for piece, flags in zip(sides, is_outside, strict=True)
    ]
    groups = find_groups(sides, outside, tolerance)
    return DrawnBlock(
        found=found,
        sides=sides,
        is_outside=is_outside,
        groups=groups,
        seams=find_seams(found, tolerance),
        mismatches=find_mismatches(sides, groups),
        tolerance=tolerance,
    )
