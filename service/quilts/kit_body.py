"""The request for a kit of a quilt's pieces: templates, and patches by colour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any

from geometry.planning.cloth import Fabric
from geometry.planning.pieces import Need, PieceShape
from geometry.units import UNIT_MM
from service.requests.quilt_plans import USUAL_CUTTER
from service.requests.quilt_spec import QuiltSpec

#: Decimals of a width of cloth in the plan's units: it was stated in them, or in inches.
_DECIMALS = 6
TEMPLATE_MATERIAL = "card"
"""What templates are cut from."""


def piece_ids(count: int) -> list[str]:
    """Return ids A to Z, then AA, AB and so on."""
    found = []
    for number in range(count):
        name, rest = "", number + 1
        while rest:
            rest, letter = divmod(rest - 1, 26)
            name = chr(ord("A") + letter) + name
        found.append(name)
    return found


def shape_body(shape: PieceShape, spec: QuiltSpec) -> dict[str, Any]:
    """Return a shape in the form of a kit request, with sizes as written in the plan's request."""
    scale = UNIT_MM[spec.units]
    if shape.kind == "custom":
        rows = [[x / scale, y / scale, bulge] for x, y, bulge in shape.outline.rows()]
        return {"kind": "custom", "points": [row if row[2] else row[:2] for row in rows]}
    body: dict[str, Any] = {"kind": shape.kind}
    for name, value in shape.values.items():
        written = spec.written.get(name)
        if isinstance(value, str):
            body[name] = value
        elif written is not None and abs(value - spec.sizes[name]) < 1e-9 * value:
            body[name] = written
        else:
            body[name] = value / scale
    return body


def kit_body(spec: QuiltSpec, needs: Sequence[Need], ids: Sequence[str]) -> dict[str, Any]:
    """Return the body of ``POST /v1/kits`` for everything that a plan needs."""
    pieces = [
        {
            "id": name,
            "shape": shape_body(need.shape, spec),
            "quantity": need.count,
            "seam_allowance": spec.written_allowance,
            **_grain(spec, need),
        }
        for name, need in zip(ids, needs, strict=True)
    ]
    cutter = _cutter(spec, needs)
    runs = [_template_run(spec, pieces, cutter)]
    for colour in dict.fromkeys(need.colour for need in needs):
        chosen = [
            {"id": name} for name, need in zip(ids, needs, strict=True) if need.colour == colour
        ]
        runs.append(
            {
                "cut": "patch",
                "pieces": chosen,
                "cutter": cutter,
                "formats": ["svg"],
                "material": {"name": colour, "kind": "stiffened_fabric", **_width(spec)},
            }
        )
    body: dict[str, Any] = {
        "title": spec.title,
        "units": spec.units,
        "pieces": pieces,
        "runs": runs,
    }
    if spec.kits > 1:
        # Each copy gets a bag with a label.
        body["copies"] = spec.kits
    if spec.reference:
        body["reference"] = spec.reference
    # The kit gets a copy of the plan's price list, so that later changes of the list do not matter.
    return body if spec.written_prices is None else {**body, "prices": dict(spec.written_prices)}


def _template_run(
    spec: QuiltSpec, pieces: Sequence[Mapping[str, Any]], cutter: str | dict[str, Any]
) -> dict[str, Any]:
    return {
        "cut": "template",
        "cutter": cutter,
        "formats": ["svg"],
        "material": {"name": TEMPLATE_MATERIAL, "kind": "card", **_sheet(spec, cutter)},
        **({"reuse": spec.paper.reuse} if spec.paper.reuse > 1 else {}),
        **({} if spec.grain == "free" else {"grain": "free"}),
        # Nobody tells the templates of equal pieces of two colours from each other.
        **({"merge_identical": True} if _has_equal(pieces) else {}),
    }


def _sheet(spec: QuiltSpec, cutter: str | dict[str, Any]) -> dict[str, Any]:
    """Return the stated sheet that the plan counts, where the usual mat holds it."""
    paper = spec.paper.sheet
    if not spec.paper.stated or cutter != USUAL_CUTTER or max(paper.width, paper.height) > _MAT:
        return {}
    sides = {"width": paper.width, "height": paper.height, "edge_clearance": paper.margin}
    return {name: round(side / UNIT_MM[spec.units], _DECIMALS) for name, side in sides.items()}


def _has_equal(pieces: Sequence[Mapping[str, Any]]) -> bool:
    """Return whether two pieces are alike in all but their names and numbers."""
    kinds = [
        {name: value for name, value in piece.items() if name not in {"id", "quantity"}}
        for piece in pieces
    ]
    return any(one == other for one, other in combinations(kinds, 2))


def _width(spec: QuiltSpec) -> dict[str, Any]:
    """Return the width of the cloth that is bought by the length, where it is not the usual."""
    bought = spec.fabric
    if bought.pre_cut is not None or bought.fabric.width == Fabric.width:
        return {}
    return {"fabric_width": round(bought.fabric.width / UNIT_MM[spec.units], _DECIMALS)}


def _grain(spec: QuiltSpec, need: Need) -> dict[str, Any]:
    """Return how a piece may be turned on the material, where not all turns will do."""
    if spec.fabric.fabric.directional:
        return {"grain": "fixed"}
    return {} if need.turns_deg is None else {"grain": list(need.turns_deg)}


def _cutter(spec: QuiltSpec, needs: Sequence[Need]) -> str | dict[str, Any]:
    # On either side, a sharp tip reaches up to four allowances out: that is the mitre limit.
    reach = (
        max(
            max(need.shape.outline.bounds.width, need.shape.outline.bounds.height) for need in needs
        )
        + 8.0 * spec.allowance
    )
    return bed_for(spec.cutter, reach)


def bed_for(cutter: str, reach: float) -> str | dict[str, Any]:
    """Return the requested cutter, or a sheet to draw on if the usual one is too small.

    Args:
        cutter: its name.
        reach: extent of the largest outline, mm.
    """
    if cutter != USUAL_CUTTER or reach <= _ROOM:
        return cutter
    size = f"{reach + 2 * _EDGE:.1f} mm"
    edge = f"{_EDGE:g} mm"
    return {
        "tool": {"kind": "pen"},
        "bed": {"width": size, "height": size},
        "margins": {"left": edge, "right": edge, "top": edge, "bottom": edge},
    }


#: The built-in mat, mm.
_MAT = 12.0 * 25.4
#: Inside its margins, mm.
_ROOM = 11.5 * 25.4
_EDGE = 10.0
