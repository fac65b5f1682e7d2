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
from service.quilts.fabric import Wanted, fabric_answer
from service.quilts.kit_body import piece_ids
from service.quilts.wishes import Wish
from service.requests.convert.collector import Collector, Path


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
            cut = Cut(box.width, box.height, need.count * wish.kits, may_turn_across_grain=True)
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
            took = sheets_of(need.shape.outline, templates, wish.sheet)
        except GeometryError as error:
            rows.append({"shape": need.shape.kind, "templates": templates, "fault": error.message})
            continue
        rows.append(
            {
                "shape": need.shape.kind,
                "templates": templates,
                "per_sheet": took.per_sheet,
                "sheets": took.sheets,
                "laid": took.laid,
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


def check_prices(read: Collector, wish: Wish, data: Mapping[str, Any]) -> None:
    """Note a price that is missing or one too many, so that no total leaves out the patches."""
    prices = data.get("prices") or {}
    pre_cut = wish.fabric.pre_cut
    if pre_cut is None and "pre_cut" in prices:
        read.add(("prices", "pre_cut"), "This fabric is bought by the length; leave this out.")
    if pre_cut is not None and "fabric" in prices and "pre_cut" not in prices:
        detail = f"Patches are cut from pre-cut pieces here: tell the price of one {pre_cut.name}."
        read.add(("prices", "pre_cut"), detail)


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
        known = {name: value for name, value in times.items() if value is not None}
        total = sum(known.values())
        told["time"] = {**known, "per_kit_s": total, "total_s": total * wish.kits}
    return told


def _cost(
    wish: Wish, prices: Mapping[str, float], materials: Mapping[str, Any]
) -> dict[str, float]:
    # Patches were reckoned for all kits together; every quilt has its own finish.
    patches = sum(each.get("buy_mm", 0.0) for each in materials["fabrics"])
    finish = sum(materials[name]["buy_mm"] for name in ("binding", "backing"))
    found = cost.bill(
        cost.Prices(prices.get("fabric"), prices.get("pre_cut"), prices.get("sheet")),
        length=patches + finish * wish.kits,
        step=wish.fabric.fabric.step,
        pre_cuts=sum(each.get("pre_cuts", 0) for each in materials["fabrics"]),
        sheets=materials["paper"]["sheets"],
    )
    parts = {"fabric": found.fabric, "pre_cuts": found.pre_cuts, "paper": found.sheets}
    told = {name: round(value, 2) for name, value in parts.items() if value is not None}
    return {
        **told,
        "total": round(found.total, 2),
        "per_kit": round(found.total / wish.kits, 2),
    }
