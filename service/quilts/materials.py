"""Materials of a planned quilt: fabric, paper, cost and working time."""

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
from service.quilts.spec import QuiltSpec
from service.requests.convert.collector import Collector, Path


def materials_answer(
    read: Collector, spec: QuiltSpec, found: Sequence[Need], finish: Mapping[str, Any]
) -> dict[str, Any]:
    """Return fabrics, paper and finishing for all kits; collect an error for what does not fit."""
    fabrics: dict[str, list[Wanted]] = {}
    for name, need in zip(piece_ids(len(found)), found, strict=True):
        path: Path = ("seam_allowance",)
        with read.going_on(), read.noting(path):
            outline = need.shape.outline
            patch = outline
            if spec.allowance > 0.0:
                patch = make_patch(outline, spec.allowance).outline
            box = patch.bounds
            cut = Cut(box.width, box.height, need.count * spec.kits, may_turn_across_grain=True)
            fabrics.setdefault(need.colour, []).append(Wanted(name, cut, ("fabric",)))
    answer = []
    for colour, wants in fabrics.items():
        with read.going_on():
            answer.append(fabric_answer(read, colour, wants, spec.fabric))
    return {"fabrics": answer, "paper": _paper(spec, found), **finish}


def _paper(spec: QuiltSpec, found: Sequence[Need]) -> dict[str, Any]:
    """Return the sheets for templates, with a fault for pieces too large for a sheet."""
    shapes: dict[int, tuple[Need, int]] = {}
    for need in found:
        known = shapes.get(id(need.shape))
        shapes[id(need.shape)] = (need, need.count * spec.kits + (known[1] if known else 0))
    rows = []
    for need, count in shapes.values():
        templates = templates_needed(count, spec.reuse)
        try:
            took = sheets_of(need.shape.outline, templates, spec.sheet)
        except GeometryError as error:
            rows.append({"shape": need.shape.kind, "templates": templates, "fault": error.message})
            continue
        rows.append(
            {
                "shape": need.shape.kind,
                "templates": templates,
                "per_sheet": took.per_sheet,
                "sheets": took.sheets,
                "method": took.laid,
            }
        )
    return {
        "sheet": spec.sheet.name,
        "width_mm": spec.sheet.width,
        "height_mm": spec.sheet.height,
        "reuse": spec.reuse,
        "templates": sum(row["templates"] for row in rows),
        "sheets": sum(row.get("sheets", 0) for row in rows),
        "rows": rows,
    }


def check_prices(read: Collector, spec: QuiltSpec, data: Mapping[str, Any]) -> None:
    """Collect errors for missing or extra prices, so that no total leaves out the patches."""
    prices = data.get("prices") or {}
    pre_cut = spec.fabric.pre_cut
    if pre_cut is None and "pre_cut" in prices:
        read.add(("prices", "pre_cut"), "This fabric is sold by the length; leave this out.")
    if pre_cut is not None and "fabric" in prices and "pre_cut" not in prices:
        detail = f"Patches are cut from pre-cut pieces here: state the price of one {pre_cut.name}."
        read.add(("prices", "pre_cut"), detail)


def cost_answer(
    spec: QuiltSpec,
    data: Mapping[str, Any],
    materials: Mapping[str, Any],
    pieces: int,
    stitches: int,
) -> dict[str, Any]:
    """Return cost if prices are stated and times if speeds are, per kit and in all."""
    answer: dict[str, Any] = {}
    prices, speeds = data.get("prices") or {}, data.get("speeds") or {}
    if prices:
        answer["cost"] = _cost(spec, prices, materials)
    if speeds:
        speed = cost.Speeds(speeds.get("pieces_per_hour"), speeds.get("stitches_per_minute"))
        times = {
            "basting_s": cost.basting_s(pieces, speed),
            "sewing_s": cost.sewing_s(stitches, speed),
        }
        known = {name: value for name, value in times.items() if value is not None}
        total = sum(known.values())
        answer["time"] = {**known, "per_kit_s": total, "total_s": total * spec.kits}
    return answer


def _cost(
    spec: QuiltSpec, prices: Mapping[str, float], materials: Mapping[str, Any]
) -> dict[str, float]:
    # Patches were calculated for all kits together; finishing is per quilt.
    patches = sum(each.get("buy_mm", 0.0) for each in materials["fabrics"])
    finish = sum(materials[name]["buy_mm"] for name in ("binding", "backing"))
    found = cost.bill(
        cost.Prices(prices.get("fabric"), prices.get("pre_cut"), prices.get("sheet")),
        length=patches + finish * spec.kits,
        step=spec.fabric.fabric.step,
        pre_cuts=sum(each.get("pre_cuts", 0) for each in materials["fabrics"]),
        sheets=materials["paper"]["sheets"],
    )
    parts = {"fabric": found.fabric, "pre_cuts": found.pre_cuts, "paper": found.sheets}
    answer = {name: round(value, 2) for name, value in parts.items() if value is not None}
    return {
        **answer,
        "total": round(found.total, 2),
        "per_kit": round(found.total / spec.kits, 2),
    }
