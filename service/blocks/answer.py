"""The answer to a drawn block."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence

from geometry.blocks.block import DrawnBlock, read_block
from geometry.blocks.carriers import adjacency_of
from geometry.blocks.groups import Group
from geometry.blocks.network import Drawn
from geometry.blocks.sections import find_sections
from geometry.errors import GeometryError, GeometryFaults
from geometry.inspection.likeness import nearest_kind
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.transform import moved
from geometry.tolerance import LARGEST_COORDINATE
from service.answers.blocks import (
    BlockAnswer,
    BlockSeamAnswer,
    DrawnPieceAnswer,
    JoinAnswer,
    PieceGroupAnswer,
    RepairAnswer,
    SeamMismatch,
    SectionAnswer,
    SewingAnswer,
    TemplatePlace,
)
from service.answers.inspections import NearestAnswer
from service.blocks.kit_body import kit_body, plan_block
from service.blocks.picture import block_picture
from service.blocks.pieces import NamedPiece, by_letter, named_pieces
from service.blocks.source import Source, bounds_of, fills, source_of
from service.errors import DrawingRefusedError, Fault
from service.requests.blocks import MAX_BLOCK_PIECES
from service.requests.drawn_blocks import DrawnBlockRequest

#: A block is scaled to its width within this share.
_SAME_WIDTH = 1.0e-9
#: Outlines up to this many are compared with the catalogue.
_MAX_COMPARED = 200
#: Blocks of more pieces are not divided into sections.
_MAX_SEWN = 200


def block_answer(request: DrawnBlockRequest, data: bytes | None) -> BlockAnswer:
    """Return what a drawn block consists of.

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
    drawn_fills = fills(source, scale)
    pieces = named_pieces(block, drawn_fills)
    kit, notes = kit_body(block, pieces, request)
    outline = block.outline
    box = outline.bounds
    of_letter = by_letter(pieces)
    names = {piece.member.face: piece.name for piece in pieces}
    return BlockAnswer(
        title=request.title,
        format=source.format,
        scale=scale,
        snap_tolerance_mm=request.snap_tolerance,
        width_mm=box.width,
        height_mm=box.height,
        area_mm2=block.found.outer.area,
        outline=_points(outline, box.left, box.bottom),
        pieces=[_piece(piece, box.left, box.bottom) for piece in pieces],
        groups=[
            _group(group, of_letter[group.letter], len(block.groups)) for group in block.groups
        ],
        seams=_seams(block, names),
        sewing=_sewing(block, names),
        mismatches=_mismatches(block, names),
        repairs=_repairs(block),
        kit=kit,
        block=plan_block(block, pieces, request.units or "mm", MAX_BLOCK_PIECES),
        picture=block_picture(outline, pieces),
        warnings=[*source.notes, *notes, *_warnings(pieces)],
    )


def _seams(block: DrawnBlock, names: Mapping[int, str]) -> list[BlockSeamAnswer]:
    return [
        BlockSeamAnswer(
            pieces=[names[piece] for piece in seam.pieces],
            length_mm=seam.length,
            is_straight=seam.is_straight,
        )
        for seam in block.seams
    ]


def _mismatches(block: DrawnBlock, names: Mapping[int, str]) -> list[SeamMismatch]:
    box = block.outline.bounds
    return [
        SeamMismatch(
            pieces=[names[piece] for piece in each.pieces],
            x_mm=each.at.x - box.left,
            y_mm=each.at.y - box.bottom,
            length_difference_mm=each.length_difference,
            bend_difference_mm=each.bend_difference,
        )
        for each in block.mismatches
    ]


def _repairs(block: DrawnBlock) -> list[RepairAnswer]:
    box = block.outline.bounds
    return [
        RepairAnswer(
            kind=each.kind,
            x_mm=each.at.x - box.left,
            y_mm=each.at.y - box.bottom,
            size_mm=each.size,
        )
        for each in block.found.repairs
    ]


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
    # What lies outside the block, or an arc that reaches beyond its ends, counts in one of both.
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


def _points(outline: Outline, left: float, bottom: float) -> list[list[float]]:
    return moved(outline, -left, -bottom).rows()


def _piece(piece: NamedPiece, left: float, bottom: float) -> DrawnPieceAnswer:
    move = piece.member.move
    return DrawnPieceAnswer(
        name=piece.name,
        letter=piece.group.letter,
        fabric=piece.fabric,
        points=_points(piece.outline, left, bottom),
        holes=[_points(hole, left, bottom) for hole in piece.holes],
        area_mm2=piece.area,
        label_at=[piece.at.x - left, piece.at.y - bottom],
        template=TemplatePlace(turn_deg=move.turn_deg, x_mm=move.x - left, y_mm=move.y - bottom),
        deviation_mm=piece.member.off,
    )


def _group(group: Group, pieces: Sequence[NamedPiece], groups: int) -> PieceGroupAnswer:
    outline = group.outline
    nearest = nearest_kind(outline) if groups <= _MAX_COMPARED else None
    return PieceGroupAnswer(
        letter=group.letter,
        quantity=len(group.members),
        mirror_of=group.mirror_of,
        is_symmetric=group.is_symmetric,
        points=outline.rows(),
        width_mm=outline.bounds.width,
        height_mm=outline.bounds.height,
        area_mm2=area(outline),
        nearest=None
        if nearest is None
        else NearestAnswer(
            kind=nearest.kind,
            parameter=nearest.parameter,
            size_mm=nearest.size,
            difference=nearest.off,
        ),
        fabrics=dict(Counter(piece.fabric for piece in pieces)),
    )


def _sewing(block: DrawnBlock, names: Mapping[int, str]) -> SewingAnswer | None:
    """Return how a block is sewn, if that can be found."""
    has_islands = any(face.holes for face in block.found.faces)
    if len(names) > _MAX_SEWN or has_islands:
        return None
    found = find_sections(adjacency_of(block))
    return SewingAnswer(
        is_one_foundation=len(found.sections) == 1,
        sections=[
            SectionAnswer(number=number, pieces=[names[piece] for piece in section.pieces])
            for number, section in enumerate(found.sections, start=1)
        ],
        joins=[
            JoinAnswer(
                number=number,
                sections=[section + 1 for section in join.first],
                to_sections=[section + 1 for section in join.second],
                seam=join.kind,
            )
            for number, join in enumerate(found.joins, start=1)
        ],
        set_in_seams=sum(join.kind == "set-in" for join in found.joins),
        is_fewest=found.is_fewest,
        min_sections=found.min_sections,
    )


def _warnings(pieces: Sequence[NamedPiece]) -> list[str]:
    with_holes = [piece.name for piece in pieces if piece.holes]
    if not with_holes:
        return []
    return [
        (
            f"Other pieces lie inside {', '.join(with_holes[:20])} without reaching its edge. Its "
            "template has no hole: sew them on top of it, or draw a seam from them to its edge."
        )
    ]
