"""Creates the kit request for a block's pieces: templates, and patches by fabric."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from geometry.blocks.block import DrawnBlock
from geometry.blocks.groups import Group, own_shifts
from geometry.units import UNIT_MM
from service.blocks.pieces import NamedPiece, by_letter
from service.quilts.kit_body import bed_for
from service.requests.drawn_blocks import DrawnBlockRequest
from service.requests.pieces import MAX_PIECES, MAX_QUANTITY

#: Turns of a patch on cloth that keep its grain along a thread.
_ALONG_GRAIN = [0, 90, 180, 270]
#: Sharp tips reach beyond the allowance, at most four times as far.
_REACH = 8.0


@dataclass(frozen=True)
class _Kind:
    """Pieces of one outline and the same sides on the block's edge."""

    id: str
    group: Group
    outer: frozenset[int]
    fabrics: Mapping[str, int]


def kit_body(
    block: DrawnBlock, pieces: Sequence[NamedPiece], request: DrawnBlockRequest
) -> tuple[dict[str, Any] | None, list[str]]:
    """Return the body of ``POST /v1/kits`` for a block's pieces, or why there is none."""
    kinds = _kinds(block, pieces, request)
    if len(kinds) > MAX_PIECES:
        text = f"There is no kit: a kit has at most {MAX_PIECES} kinds of pieces, this block has "
        return None, [f"{text}{len(kinds)}."]
    if max(sum(kind.fabrics.values()) for kind in kinds) * request.blocks > MAX_QUANTITY:
        return None, [f"There is no kit: it would cut more than {MAX_QUANTITY} pieces of a kind."]
    units = request.units or "mm"
    reach = max(
        max(kind.group.outline.bounds.width, kind.group.outline.bounds.height) for kind in kinds
    ) + _REACH * max(request.allowance, request.outer_allowance)
    cutter = bed_for(request.cutter, reach)
    body = {
        "title": request.title,
        "units": units,
        "pieces": [_piece(kind, kinds, request, UNIT_MM[units]) for kind in kinds],
        "runs": [_templates(kinds, request, cutter), *_patches(kinds, request, cutter)],
    }
    return body, []


def _kinds(
    block: DrawnBlock, pieces: Sequence[NamedPiece], request: DrawnBlockRequest
) -> list[_Kind]:
    """Return the kinds of pieces; those on the block's edge apart if its allowance differs."""
    apart = request.outer_allowance != request.allowance
    found: list[_Kind] = []
    of_letter = by_letter(pieces)
    for group in block.groups:
        shifts = own_shifts(group.outline) if apart else ()
        rows: dict[frozenset[int], Counter[str]] = {}
        for piece in of_letter[group.letter]:
            outer = _outer_sides(block, piece, shifts) if apart else frozenset[int]()
            rows.setdefault(outer, Counter())[piece.fabric] += 1
        ordered = sorted(rows, key=lambda outer: (len(outer), sorted(outer)))
        for number, outer in enumerate(ordered):
            name = group.letter if number == 0 else f"{group.letter}.{number}"
            found.append(_Kind(name, group, outer, dict(rows[outer])))
    return found


def _outer_sides(block: DrawnBlock, piece: NamedPiece, shifts: Sequence[int]) -> frozenset[int]:
    """Return which sides are outside, the same for pieces that only lie differently."""
    flags = block.is_outside(piece.member.face)
    count = len(flags)
    sides = [(at - piece.member.shift) % count for at, is_out in enumerate(flags) if is_out]
    forms = [sorted((side + shift) % count for side in sides) for shift in shifts]
    return frozenset(min(forms))


def _piece(
    kind: _Kind, kinds: Sequence[_Kind], request: DrawnBlockRequest, unit: float
) -> dict[str, Any]:
    rows = [[x / unit, y / unit, bulge] for x, y, bulge in kind.group.outline.rows()]
    allowance: Any = request.allowance / unit
    if kind.outer:
        allowance = {
            "default": allowance,
            "edges": {str(side): request.outer_allowance / unit for side in sorted(kind.outer)},
        }
    body = {
        "id": kind.id,
        "shape": {"kind": "custom", "points": [row if row[2] else row[:2] for row in rows]},
        "quantity": sum(kind.fabrics.values()) * request.blocks,
        "seam_allowance": allowance,
        "grain": _ALONG_GRAIN,
    }
    mirror = kind.group.mirror_of
    if mirror is not None and not kind.outer and any(each.id == mirror for each in kinds):
        body["mirror_of"] = mirror
    return body


def _templates(
    kinds: Sequence[_Kind], request: DrawnBlockRequest, cutter: str | dict[str, Any]
) -> dict[str, Any]:
    run: dict[str, Any] = {
        "cut": "template",
        "cutter": cutter,
        "formats": ["svg"],
        "material": {"name": "card", "kind": "card"},
    }
    if request.templates == "one":
        run["pieces"] = [{"id": kind.id, "quantity": 1} for kind in kinds]
    return run


def _patches(
    kinds: Sequence[_Kind], request: DrawnBlockRequest, cutter: str | dict[str, Any]
) -> list[dict[str, Any]]:
    fabrics = dict.fromkeys(fabric for kind in kinds for fabric in kind.fabrics)
    return [
        {
            "cut": "patch",
            "pieces": [
                {"id": kind.id, "quantity": kind.fabrics[fabric] * request.blocks}
                for kind in kinds
                if fabric in kind.fabrics
            ],
            "cutter": cutter,
            "formats": ["svg"],
            "material": {"name": fabric, "kind": "stiffened_fabric"},
        }
        for fabric in fabrics
    ]


def plan_block(
    block: DrawnBlock, pieces: Sequence[NamedPiece], units: str, most: int
) -> dict[str, Any] | None:
    """Return the block of a quilt plan; ``None`` unless it is a square of straight-sided pieces."""
    outline = block.outline
    box = outline.bounds
    is_square = abs(box.width - box.height) <= 1e-6 * box.width and not outline.has_arcs
    is_plain = not any(piece.outline.has_arcs or piece.holes for piece in pieces)
    filled = sum(piece.area for piece in pieces)
    if not (is_square and is_plain and len(pieces) <= most) or (
        abs(filled - box.width * box.height) > 1e-6 * filled
    ):
        return None
    unit = UNIT_MM[units]
    return {
        "units": units,
        "size": box.width / unit,
        "pieces": [
            {
                "points": [
                    [(x - box.left) / unit, (y - box.bottom) / unit]
                    for x, y, _ in piece.outline.rows()
                ],
                "colour": piece.fabric,
            }
            for piece in pieces
        ],
    }
