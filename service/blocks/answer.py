"""The answer to a drawn block."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from geometry.blocks.block import DrawnBlock
from geometry.blocks.groups import Group
from geometry.inspection.likeness import nearest_kind
from geometry.measure import area
from geometry.model.outline import Outline
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
from service.blocks.pieces import NamedPiece, by_letter
from service.blocks.reading import ReadBlock, reading_of
from service.requests.blocks import MAX_BLOCK_PIECES
from service.requests.drawn_blocks import DrawnBlockRequest

#: Outlines up to this many are compared with the catalogue.
_MAX_COMPARED = 200


def block_answer(request: DrawnBlockRequest, data: bytes | None) -> BlockAnswer:
    """Return what a drawn block consists of.

    Args:
        request: how it is read and made.
        data: the drawing's file; ``None`` where the request has paths.

    Raises:
        DrawingRefusedError: when the drawing cannot be read or repaired.
    """
    read = reading_of(request, data)
    block, pieces = read.block, read.pieces
    kit, notes = kit_body(block, pieces, request)
    outline = block.outline
    box = outline.bounds
    of_letter = by_letter(pieces)
    names = read.names
    return BlockAnswer(
        title=request.title,
        format=read.source.format,
        scale=read.scale,
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
        sewing=_sewing(read),
        mismatches=_mismatches(block, names),
        repairs=_repairs(block),
        kit=kit,
        block=plan_block(block, pieces, request.units or "mm", MAX_BLOCK_PIECES),
        picture=block_picture(outline, pieces),
        warnings=[*read.source.notes, *notes, *_warnings(pieces)],
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


def _points(outline: Outline, left: float, bottom: float) -> list[list[float]]:
    return [[v.x - left, v.y - bottom, v.bulge] for v in outline.vertices]


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


def _sewing(read: ReadBlock) -> SewingAnswer | None:
    """Return how a block is sewn, if that can be found."""
    found, names = read.sewing(), read.names
    if found is None:
        return None
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
