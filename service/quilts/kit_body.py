"""The kit request that cuts a quilt's pieces: templates, and patches colour by colour."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from geometry.planning.pieces import Need, Shape
from geometry.units import UNIT_MM
from service.quilts.wishes import USUAL_CUTTER, Wish


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


def shape_body(shape: Shape, wish: Wish) -> dict[str, Any]:
    """Return a shape as a kit's request has it, sizes as the plan's request wrote them."""
    scale = UNIT_MM[wish.units]
    if shape.kind == "custom":
        rows = [[x / scale, y / scale, bulge] for x, y, bulge in shape.outline.rows()]
        return {"kind": "custom", "points": [row if row[2] else row[:2] for row in rows]}
    told: dict[str, Any] = {"kind": shape.kind}
    for name, value in shape.values.items():
        written = wish.written.get(name)
        if isinstance(value, str):
            told[name] = value
        elif written is not None and abs(value - wish.sizes[name]) < 1e-9 * value:
            told[name] = written
        else:
            told[name] = value / scale
    return told


def kit_body(wish: Wish, needs: Sequence[Need], ids: Sequence[str]) -> dict[str, Any]:
    """Return a request for ``POST /v1/kits`` that cuts everything a plan needs."""
    pieces = [
        {
            "id": name,
            "shape": shape_body(need.shape, wish),
            "quantity": need.count * wish.kits,
            "seam_allowance": wish.written_allowance,
        }
        for name, need in zip(ids, needs, strict=True)
    ]
    cutter = _cutter(wish, needs)
    runs: list[dict[str, Any]] = [
        {
            "cut": "template",
            "cutter": cutter,
            "formats": ["svg"],
            "material": {"name": "card", "kind": "card"},
            **({"reuse": wish.reuse} if wish.reuse > 1 else {}),
        }
    ]
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
                "material": {"name": colour, "kind": "stiffened_fabric"},
            }
        )
    return {"title": wish.title, "units": wish.units, "pieces": pieces, "runs": runs}


def _cutter(wish: Wish, needs: Sequence[Need]) -> str | dict[str, Any]:
    """Return the cutter asked for, or a sheet to draw on where a built-in one is too small."""
    if wish.cutter != USUAL_CUTTER:
        return wish.cutter
    # Sharp tips reach further than the allowance; four times is the longest mitre.
    reach = (
        max(
            max(need.shape.outline.bounds.width, need.shape.outline.bounds.height) for need in needs
        )
        + 8.0 * wish.allowance
    )
    if reach <= _ROOM:
        return wish.cutter
    size = f"{reach + 2 * _EDGE:.1f} mm"
    edge = f"{_EDGE:g} mm"
    return {
        "tool": {"kind": "pen"},
        "bed": {"width": size, "height": size},
        "margins": {"left": edge, "right": edge, "top": edge, "bottom": edge},
    }


#: Inside the margins of the built-in sheet, mm.
_ROOM = 11.5 * 25.4
_EDGE = 10.0
