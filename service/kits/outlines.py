"""Pieces as the answer states them: template, patch and the allowance between them."""

from __future__ import annotations

from collections.abc import Mapping

from geometry.measure import area, perimeter, sharp_angles_deg
from geometry.model.outline import Mark, Outline, Region
from service.answers.pieces import (
    AllowanceAnswer,
    CornerAnswer,
    MarkAnswer,
    OutlineAnswer,
    OutlinesAnswer,
    PieceAnswer,
)
from service.pieces.draw import draw_pieces
from service.pieces.model import Allowance, Piece
from service.pieces.named_warnings import named_warnings
from service.requests.pieces import OutlinesRequest
from service.schemas.units_in_text import in_units
from service.tools.recent_answers import RecentAnswers

#: Plain outlines whose measures are kept, and the most vertices of one of them: 0.5 kB each.
_MAX_REGIONS, _MAX_VERTICES = 256, 200
_REGIONS: RecentAnswers[OutlineAnswer] = RecentAnswers(_MAX_REGIONS)


def outlines(request: OutlinesRequest) -> OutlinesAnswer:
    """Return the answer to an outlines request.

    Raises:
        RequestError: with every error of the request's pieces.
    """
    pieces = draw_pieces(request.pieces, request.units)
    return OutlinesAnswer(
        pieces=[piece_answer(piece) for piece in pieces.values()],
        warnings=[
            in_units(each, request.units, at_the_bench=True) for each in piece_warnings(pieces)
        ],
    )


def piece_warnings(pieces: Mapping[str, Piece]) -> list[str]:
    """Return the warnings of all pieces, each once, with the names of its pieces."""
    return named_warnings((each.id, each.warnings) for each in pieces.values())


def piece_answer(piece: Piece, copies: int = 1) -> PieceAnswer:
    """Return one piece as the answer states it."""
    return PieceAnswer(
        id=piece.id,
        shape=piece.title,
        size=piece.size,
        quantity=piece.quantity,
        total_quantity=piece.quantity * copies if copies > 1 else None,
        template=region_answer(piece.template),
        patch=region_answer(piece.patch),
        allowance=_allowance_answer(piece.allowance),
    )


def region_answer(region: Region) -> OutlineAnswer:
    """Return an outline with its holes, marks and measures."""
    if region.holes or region.marks or len(region.outline.vertices) > _MAX_VERTICES:
        return _measured(region)
    return _REGIONS.known_or_made(region, lambda: _measured(region))


def _measured(region: Region) -> OutlineAnswer:
    box = region.outline.bounds
    return OutlineAnswer(
        outline=region.outline.rows(),
        holes=[hole.rows() for hole in region.holes],
        marks=[_mark_answer(mark) for mark in region.marks],
        area_mm2=area(region.outline),
        perimeter_mm=perimeter(region.outline),
        width_mm=box.width,
        height_mm=box.height,
        corner_angles_deg=sharp_angles_deg(region.outline),
    )


def _mark_answer(mark: Mark) -> MarkAnswer:
    return MarkAnswer(
        role=mark.role,
        operation=mark.operation,
        closed=isinstance(mark.path, Outline),
        points=mark.path.rows(),
    )


def _allowance_answer(allowance: Allowance) -> AllowanceAnswer:
    edges = {str(index): wide for index, wide in allowance.edges.items()}
    return AllowanceAnswer(
        requested_mm=allowance.requested_mm,
        min_mm=allowance.min_mm,
        max_mm=allowance.max_mm,
        method=allowance.method,
        corners=[
            CornerAnswer(corner=each.corner, treatment=each.treatment, tail_mm=each.tail)
            for each in allowance.corners
        ],
        edges_mm=edges or None,
    )
