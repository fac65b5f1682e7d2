"""Yardage: fabric by the length or in pre-cut pieces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from geometry.errors import GeometryError, GeometryFaults
from geometry.planning import yardage as rows
from geometry.planning.triangles import shared_rectangle
from geometry.planning.yardage import Cut, Fabric, FromPreCuts, PreCut, Rows
from geometry.units import format_decimal
from service.pieces.draw import draw_piece, errors_of
from service.quilts.length_text import length_text
from service.requests.fabrics import Bought
from service.requests.pieces import PieceRequest
from service.requests.yardage import YardagePiece, YardageRequest
from service.schemas.loading import Found, refusal
from service.schemas.units_in_text import in_units


@dataclass(frozen=True)
class Wanted:
    """A size of piece to cut from a fabric, and its path in the request."""

    id: str
    cut: Cut
    where: tuple[str | int, ...]


def yardage(request: YardageRequest) -> dict[str, Any]:
    """Return the fabrics for pieces.

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
    found = []
    for name, wants in fabrics.items():
        try:
            found.append(fabric_answer(name, wants, request.fabric, request.units))
        except GeometryError as error:
            errors += errors_of(error, request.units)
    if errors:
        raise refusal(errors)
    return {"fabrics": found}


def _wanted(piece: YardagePiece, index: int, kits: int) -> Wanted:
    shared = None
    if isinstance(piece.size, PieceRequest):
        drawn = draw_piece(piece.size)
        box = drawn.patch.outline.bounds
        width, length = box.width, box.height
        shared = shared_rectangle(drawn.template.outline, piece.size.seam_allowance.default)
    else:
        width, length = piece.size
    cut = Cut(width, length, piece.count * kits, piece.may_turn_across_grain, shared)
    return Wanted(piece.id or str(index), cut, ("pieces", index))


def fabric_answer(
    name: str, wants: Sequence[Wanted], bought: Bought, units: str | None
) -> dict[str, Any]:
    """Return the amount to buy of one fabric, with sentences in these units.

    Raises:
        geometry.errors.GeometryError: when a piece does not fit on it, where the request states it.
    """
    if errors := list(_not_fitting(wants, bought)):
        raise errors[0] if len(errors) == 1 else GeometryFaults(tuple(errors))
    if bought.pre_cut is not None:
        return _pre_cut_answer(name, wants, bought.pre_cut, bought.fabric, units)
    found = rows.yardage([want.cut for want in wants], bought.fabric)
    only = found.rows[0] if len(found.rows) == 1 else None
    return {
        "fabric": name,
        "per_row": None if only is None else only.per_row,
        "rows": sum(each.rows for each in found.rows),
        "length_mm": found.length,
        "length_before_wash_mm": found.length_before_wash,
        "buy_mm": found.buy,
        "buy": length_text(found.buy, bought.unit),
        "unused_mm": found.unused,
        "usable_width_mm": bought.fabric.width,
        "pieces": [
            {
                "id": want.id,
                "width_mm": each.cut.width,
                "length_mm": each.cut.length,
                "needed": each.cut.count,
                "cut": each.count,
                "per_row": each.per_row,
                "rows": each.rows,
                "length_of_rows_mm": each.length,
                "turned": each.turned,
                **_method(each, units),
            }
            for want, each in zip(wants, found.rows, strict=True)
        ],
    }


def _not_fitting(wants: Sequence[Wanted], bought: Bought) -> Iterator[GeometryError]:
    for want in wants:
        try:
            if bought.pre_cut is None:
                rows.rows_of(want.cut, bought.fabric)
            else:
                rows.from_pre_cuts(want.cut, bought.pre_cut, bought.fabric)
        except GeometryError as error:
            # The path is the piece's in the request, not its index among this fabric's pieces.
            yield GeometryError(error.message, where=want.where)


def _method(found: Rows | FromPreCuts, units: str | None) -> dict[str, str]:
    """Return how triangles are cut that share a rectangle; nothing for pieces cut singly."""
    shared = found.shared
    if shared is None:
        return {}
    needed = math.ceil(found.count / shared.pieces)
    left = needed * shared.pieces - found.count
    size = f"{format_decimal(shared.width)} by {format_decimal(shared.length)} mm"
    how, cuts = (
        ("fours", "both diagonals") if shared.needs_quarter_turn else ("pairs", "a diagonal")
    )
    text = f"in {how}: {shared.pieces} from each rectangle of {size}, cut along {cuts}; {needed} "
    text += f"rectangle{'s' if needed > 1 else ''}"
    return {"method": in_units(f"{text}, {left} left over" if left else text, units)}


def _pre_cut_answer(
    name: str, wants: Sequence[Wanted], pre_cut: PreCut, fabric: Fabric, units: str | None
) -> dict[str, Any]:
    pieces: list[dict[str, Any]] = []
    for want in wants:
        found = rows.from_pre_cuts(want.cut, pre_cut, fabric)
        pieces.append(
            {
                "id": want.id,
                "width_mm": want.cut.width,
                "length_mm": want.cut.length,
                "needed": want.cut.count,
                "cut": found.count,
                "pieces_per_pre_cut": found.per_cut,
                "pre_cuts": found.needed,
                "spare": found.spare,
                "turned": found.turned,
                **_method(found, units),
            }
        )
    total = sum(each["pre_cuts"] for each in pieces)
    return {
        "fabric": name,
        "pre_cut": pre_cut.name,
        "pre_cut_width_mm": pre_cut.width,
        "pre_cut_length_mm": pre_cut.length,
        "pre_cuts": total,
        "buy": f"{total} {pre_cut.name}{'s' if total > 1 else ''}",
        "pieces": pieces,
    }
