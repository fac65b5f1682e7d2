"""Yardage: the fabrics for pieces of any shape or cut size."""

from __future__ import annotations

from geometry.errors import GeometryError
from geometry.layout.item import stated_turns_deg
from geometry.planning.cloth import Cut
from service.answers.quilts import YardageAnswer
from service.pieces.draw import draw_piece, errors_of
from service.quilts.cut_pieces import Wanted, patch_cut
from service.quilts.fabric import FoundFabric, fabric_answers
from service.requests.pieces import PieceRequest
from service.requests.shapes import CatalogueShape
from service.requests.yardage import YardagePiece, YardageRequest
from service.schemas.loading import Found, refusal


def yardage(request: YardageRequest) -> YardageAnswer:
    """Return the fabrics for pieces, as the answer states them.

    Raises:
        RequestError: with every error of the request.
    """
    return YardageAnswer(fabrics=[each.answer for each in fabrics_of(request)])


def fabrics_of(request: YardageRequest) -> list[FoundFabric]:
    """Return the fabrics for pieces, and how each is cut.

    Raises:
        RequestError: with every error of the request.
    """
    errors: list[Found] = []
    fabrics: dict[str, list[Wanted]] = {}
    for index, piece in enumerate(request.pieces):
        try:
            wanted = _wanted(piece, index, request.kits)
        except GeometryError as error:
            errors += errors_of(error, request.units, "pieces", index)
        else:
            fabrics.setdefault(piece.fabric or request.fabric.name, []).append(wanted)
    found: list[FoundFabric] = []
    try:
        found = fabric_answers(fabrics, request.fabric, request.units)
    except GeometryError as error:
        errors += errors_of(error, request.units)
    if errors:
        raise refusal(errors)
    return found


def _wanted(piece: YardagePiece, index: int, kits: int) -> Wanted:
    count = piece.quantity * kits
    warnings: tuple[str, ...] = ()
    if isinstance(piece.size, PieceRequest):
        drawn = draw_piece(piece.size)
        warnings = drawn.warnings
        cut = patch_cut(
            drawn.template.outline,
            drawn.patch.outline,
            piece.size.seam_allowance.default,
            count,
            piece.turns,
        )
    else:
        cut = Cut(*piece.size, count, stated_turns_deg(piece.turns))
    return Wanted(piece.id or str(index), cut, ("pieces", index), _noun(piece), warnings)


def _noun(piece: YardagePiece) -> str:
    shape = piece.size.shape if isinstance(piece.size, PieceRequest) else None
    return shape.title if isinstance(shape, CatalogueShape) else ""
