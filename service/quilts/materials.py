"""What a planned quilt takes of fabric and paper, what it costs, how long it takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from geometry.errors import GeometryError
from geometry.offset.allowance import make_patch
from geometry.planning import cost
from geometry.planning.pieces import Need
from geometry.planning.sheets import sheets_of, templates_needed
from geometry.planning.yardage import Cut
from service.convert.collector import Collector, Path
from service.quilts.fabric import Wanted, fabric_answer
from service.quilts.kit_body import piece_ids
from service.quilts.wishes import Wish


def materials_answer(
    read: Collector, wish: Wish, found: Sequence[Need], finish: Mapping[str, Any]
) -> dict[str, Any]:
    """Return fabrics, paper and finishing of all kits; what does not fit is noted as a fault."""
    fabrics: dict[str, list[Wanted]] = {}
    for name, need in zip(piece_ids(len(found)), found, strict=True):
        path: Path = ("seam_allowance",)
        with read.going_on(), read.noting(path):
            outline = need.shape.outline
            patch = outline
            if wish.allowance > 0.0:
                patch = make_patch(outline, wish.allowance).outline
            box = patch.bounds
            cut = Cut(box.width, box.height, need.count * wish.kits, may_turn=True)
            fabrics.setdefault(need.colour, []).append(Wanted(name, cut, ("fabric",)))
    told = []
    for colour, wants in fabrics.items():
        with read.going_on():
            told.append(fabric_answer(read, colour, wants, wish.fabric))
    return {"fabrics": told, "paper": _paper(wish, found), **finish}


def _paper(wish: Wish, found: Sequence[Need]) -> dict[str, Any]:
    """Return the sheets that templates take; pieces too large for a sheet are told as such."""
    shapes: dict[int, tuple[Need, int]] = {}
    for need in found:
        known = shapes.get(id(need.shape))
        shapes[id(need.shape)] = (need, need.count * wish.kits + (known[1] if known else 0))
    rows = []
    for need, count in shapes.values():
        templates = templates_needed(count, wish.reuse)
        try:
            took = sheets_of([(need.shape.outline, templates)], wish.sheet)[0]
        except GeometryError as error:
            rows.append({"shape": need.shape.kind, "templates": templates, "fault": error.message})
            continue
        rows.append(
            {
                "shape": need.shape.kind,
                "templates": templates,
                "per_sheet": took.per_sheet,
                "sheets": took.sheets,
            }
        )
    return {
        "sheet": wish.sheet.name,
        "width_mm": wish.sheet.width,
        "height_mm": wish.sheet.height,
        "reuse": wish.reuse,
        "templates": sum(row["templates"] for row in rows),
        "sheets": sum(row.get("sheets", 0) for row in rows),
        "rows": rows,
    }


def cost_answer(
    wish: Wish,
    data: Mapping[str, Any],
    materials: Mapping[str, Any],
    pieces: int,
    stitches: int,
) -> dict[str, Any]:
    """Return cost where prices were told and times where speeds were, per kit and for all."""
    told: dict[str, Any] = {}
    prices, speeds = data.get("prices") or {}, data.get("speeds") or {}
    if prices:
        told["cost"] = _cost(wish, prices, materials)
    if speeds:
        speed = cost.Speeds(speeds.get("pieces_per_hour"), speeds.get("stitches_per_minute"))
        times = {
            "basting_s": cost.basting_s(pieces, speed),
            "sewing_s": cost.sewing_s(stitches, speed),
        }
        told["time"] = {name: value for name, value in times.items() if value is not None}
    return told


def _cost(
    wish: Wish, prices: Mapping[str, float], materials: Mapping[str, Any]
) -> dict[str, float]:
    parts: dict[str, float] = {}
    if "fabric" in prices:
        # Patches were reckoned for all kits together; every quilt has its own finish.
        patches = sum(each.get("buy_mm", 0.0) for each in materials["fabrics"])
        finish = sum(materials[name]["buy_mm"] for name in ("binding", "backing"))
        steps = (patches + finish * wish.kits) / wish.fabric.fabric.step
        parts["fabric"] = round(steps * prices["fabric"], 2)
    if "sheet" in prices:
        parts["paper"] = round(materials["paper"]["sheets"] * prices["sheet"], 2)
    total = round(sum(parts.values()), 2)
    return {**parts, "total": total, "per_kit": round(total / wish.kits, 2)}
