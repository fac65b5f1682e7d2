"""Reads a block's drawing: its pieces with their names, and how they are sewn."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from geometry.blocks.block import DrawnBlock, read_block
from geometry.blocks.carriers import adjacency_of
from geometry.blocks.network import Drawn
from geometry.blocks.sections import Sewing, find_sections
from geometry.errors import GeometryError, GeometryFaults
from geometry.tolerance import LARGEST_COORDINATE
from service.blocks.pieces import NamedPiece, named_pieces
from service.blocks.source import Source, bounds_of, fills, source_of
from service.errors import DrawingRefusedError, Fault
from service.requests.drawn_blocks import DrawnBlockRequest

#: A block has its finished width to within this share.
_SAME_WIDTH = 1.0e-9
MAX_SEWN = 200
"""Blocks of more pieces are not divided into sections."""


@dataclass(frozen=True)
class ReadBlock:
    """A block as it was read.

    Args:
        source: its drawing.
        block: its pieces and seams.
        scale: finished size by drawn size.
        pieces: with their names.
    """

    source: Source
    block: DrawnBlock
    scale: float
    pieces: tuple[NamedPiece, ...]

    @cached_property
    def names(self) -> Mapping[int, str]:
        """Return the names of pieces by their numbers."""
        return {piece.member.face: piece.name for piece in self.pieces}

    def sewing(self) -> Sewing | None:
        """Return how the block is sewn; ``None`` for very many pieces, or with islands."""
        has_islands = any(face.holes for face in self.block.found.faces)
        if len(self.pieces) > MAX_SEWN or has_islands:
            return None
        return find_sections(adjacency_of(self.block))


def reading_of(request: DrawnBlockRequest, data: bytes | None) -> ReadBlock:
    """Return the block of a drawing.

    Args:
        request: how it is read and made.
        data: the drawing's file; ``None`` where the request has paths.

    Raises:
        DrawingRefusedError: when the drawing cannot be read or repaired.
    """
    source = source_of(request, data)
    place = "#/paths" if data is None else "#/file"
    try:
        block, scale = _read(source, request)
    except GeometryError as error:
        raise _refusal(error, place) from None
    return ReadBlock(source, block, scale, named_pieces(block, fills(source, scale)))


def _read(source: Source, request: DrawnBlockRequest) -> tuple[DrawnBlock, float]:
    """Return the block of a drawing at its finished size, and the scale."""
    if not source.paths:
        raise GeometryError("Nothing is drawn; a block has lines that enclose its pieces.")
    box = bounds_of(source.paths)
    if not max(abs(value) for value in box) <= LARGEST_COORDINATE:
        raise GeometryError(
            f"The drawing is more than {LARGEST_COORDINATE / 1000:g} m wide; check its unit."
        )
    if request.finished_width is None:
        return _read_at(source, request, 1.0), 1.0
    drawn = box.width or box.height
    if drawn <= 0.0:
        raise GeometryError("The drawing has no width.")
    scale = request.finished_width / drawn
    # The drawing's box is not always the block's: it counts lines outside the block, and not how
    # far an arc reaches beyond its ends.
    block = _read_at(source, request, scale)
    for _ in range(2):
        share = request.finished_width / block.found.outer.outline.bounds.width
        if math.isclose(share, 1.0, rel_tol=_SAME_WIDTH):
            break
        scale *= share
        block = _read_at(source, request, scale)
    return block, scale


def _read_at(source: Source, request: DrawnBlockRequest, scale: float) -> DrawnBlock:
    drawn: Sequence[Drawn] = source.drawn(scale)
    return read_block(drawn, tolerance=request.snap_tolerance, remove_loose=request.remove_loose)


def _refusal(error: GeometryError, place: str) -> DrawingRefusedError:
    faults = error.faults if isinstance(error, GeometryFaults) else (error,)
    return DrawingRefusedError(
        f"{faults[0].message} Places are from the drawing's lower left corner.",
        [Fault(place, fault.message) for fault in faults],
    )
