"""The answer to a drawn block."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from geometry.blocks.block import DrawnBlock
from geometry.blocks.groups import Group
from geometry.blocks.ring_table import RingTable
from geometry.inspection.likeness import nearest_kind
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.points import Point
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
from service.schemas.rounding import rounded, rounded_rows, without_noise

#: Outlines up to this many are compared with the catalogue.
_MAX_COMPARED = 200


def block_answer(request: DrawnBlockRequest, data: bytes | None) -> BlockAnswer:
    """Return what a drawn block consists of, its numbers without the noise of binary arithmetic.

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
    corner = Point(box.left, box.bottom)
    return BlockAnswer(
        title=request.title,
        format=read.source.format,
        scale=rounded(read.scale),
        snap_tolerance_mm=rounded(request.snap_tolerance),
        width_mm=rounded(box.width),
        height_mm=rounded(box.height),
        area_mm2=rounded(block.found.outer.area),
        outline=_points([outline], corner)[0],
        pieces=_pieces(pieces, corner),
        groups=_groups(block.groups, by_letter(pieces)),
        seams=_seams(block, read.names),
        sewing=_sewing(read),
        mismatches=_mismatches(block, read.names, corner),
        repairs=_repairs(block, corner),
        kit=without_noise(kit),
        block=without_noise(plan_block(block, pieces, request.units or "mm", MAX_BLOCK_PIECES)),
        picture=block_picture(outline, pieces),
        warnings=[*read.source.notes, *notes, *_warnings(pieces)],
    )


def _seams(block: DrawnBlock, names: Mapping[int, str]) -> list[BlockSeamAnswer]:
    lengths = rounded_rows(np.array([seam.length for seam in block.seams]))
    return [
        BlockSeamAnswer(pieces=[names[one], names[two]], length_mm=length, is_straight=is_straight)
        for ((one, two), _, is_straight), length in zip(block.seams, lengths, strict=True)
    ]


def _mismatches(block: DrawnBlock, names: Mapping[int, str], corner: Point) -> list[SeamMismatch]:
    return [
        SeamMismatch(
            pieces=[names[piece] for piece in each.pieces],
            x_mm=rounded(each.at.x - corner.x),
            y_mm=rounded(each.at.y - corner.y),
            length_difference_mm=rounded(each.length_difference),
            bend_difference_mm=rounded(each.bend_difference),
        )
        for each in block.mismatches
    ]


def _repairs(block: DrawnBlock, corner: Point) -> list[RepairAnswer]:
    repairs = block.found.repairs
    found = np.array([(*at, size) for _, at, size in repairs]).reshape(-1, 3)
    rows = rounded_rows(found - (*corner, 0.0))
    return [
        RepairAnswer(kind=each.kind, x_mm=x, y_mm=y, size_mm=size)
        for each, (x, y, size) in zip(repairs, rows, strict=True)
    ]


def _points(outlines: Sequence[Outline], corner: Point) -> list[list[list[float]]]:
    """Return the rows of each outline, from a corner."""
    table = RingTable.of(outlines)
    rows = rounded_rows(table.rows - (*corner, 0.0))
    return [rows[begin:end] for begin, end in table.spans()]


def _pieces(pieces: Sequence[NamedPiece], corner: Point) -> list[DrawnPieceAnswer]:
    points = _points([piece.outline for piece in pieces], corner)
    measures = [
        (
            piece.area,
            piece.at.x - corner.x,
            piece.at.y - corner.y,
            piece.member.move.turn_deg,
            piece.member.move.x - corner.x,
            piece.member.move.y - corner.y,
            piece.member.off,
        )
        for piece in pieces
    ]
    return [
        DrawnPieceAnswer(
            name=piece.name,
            letter=piece.group.letter,
            fabric=piece.fabric,
            points=rows,
            holes=_points(piece.holes, corner) if piece.holes else [],
            area_mm2=size,
            label_at=[x, y],
            template=TemplatePlace(turn_deg=turn, x_mm=right, y_mm=up),
            deviation_mm=off,
        )
        for piece, rows, (size, x, y, turn, right, up, off) in zip(
            pieces, points, rounded_rows(np.array(measures)), strict=True
        )
    ]


def _groups(
    groups: Sequence[Group], of_letter: Mapping[str, Sequence[NamedPiece]]
) -> list[PieceGroupAnswer]:
    outlines = [group.outline for group in groups]
    boxes = [outline.bounds for outline in outlines]
    sizes = [
        (box.width, box.height, area(outline)) for box, outline in zip(boxes, outlines, strict=True)
    ]
    measures = rounded_rows(np.array(sizes))
    rows = zip(groups, _points(outlines, Point(0.0, 0.0)), measures, strict=True)
    return [
        PieceGroupAnswer(
            letter=group.letter,
            quantity=len(group.members),
            mirror_of=group.mirror_of,
            is_symmetric=group.is_symmetric,
            points=points,
            width_mm=width,
            height_mm=height,
            area_mm2=size,
            nearest=_nearest(group.outline) if len(groups) <= _MAX_COMPARED else None,
            fabrics=dict(Counter([piece.fabric for piece in of_letter[group.letter]])),
        )
        for group, points, (width, height, size) in rows
    ]


def _nearest(outline: Outline) -> NearestAnswer | None:
    """Return the shape of the catalogue that a template is, if there is one."""
    found = nearest_kind(outline)
    if found is None:
        return None
    return NearestAnswer(
        kind=found.kind,
        parameter=found.parameter,
        size_mm=rounded(found.size),
        difference=rounded(found.off),
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
