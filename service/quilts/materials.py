"""Materials of a planned quilt: fabric, paper, cost and working time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from geometry.errors import GeometryError, GeometryFaults
from geometry.offset.allowance import make_patch
from geometry.planning.pieces import Need
from geometry.shapes.catalogue import CATALOGUE
from service.planning import cost
from service.quilts.fabric import Wanted, fabric_answers, patch_cut
from service.quilts.kit_body import piece_ids
from service.quilts.paper import paper_answer
from service.requests.quilt_plans import QuiltSpec


def materials_answer(
    spec: QuiltSpec,
    found: Sequence[Need],
    finish: Mapping[str, Any],
    strips: Iterable[tuple[str, Wanted]] = (),
) -> tuple[dict[str, Any], list[str]]:
    """Return fabrics, paper and finishing for all kits, and warnings.

    Args:
        spec: the quilt.
        found: its pieces.
        finish: its finishing.
        strips: further cuts, each with its colour.

    Raises:
        geometry.errors.GeometryFaults: with each piece that cannot be made or does not fit.
    """
    errors: list[GeometryError] = []
    fabrics: dict[str, list[Wanted]] = {}
    for name, need in zip(piece_ids(len(found)), found, strict=True):
        outline = need.shape.outline
        try:
            patch = make_patch(outline, spec.allowance).outline if spec.allowance > 0.0 else outline
        except GeometryError as error:
            error.where = ("seam_allowance", *error.where)
            errors.append(error)
            continue
        # As in the plan's kit, whose pieces may be turned freely.
        cut = patch_cut(outline, patch, spec.allowance, need.count * spec.kits)
        noun = CATALOGUE[need.shape.kind].title if need.shape.kind in CATALOGUE else ""
        fabrics.setdefault(need.colour, []).append(Wanted(name, cut, ("fabric",), noun))
    for colour, want in strips:
        fabrics.setdefault(colour, []).append(want)
    found_fabrics: list[dict[str, Any]] = []
    try:
        found_fabrics = fabric_answers(fabrics, spec.fabric, spec.units)
    except GeometryError as error:
        errors += error.faults if isinstance(error, GeometryFaults) else [error]
    paper: dict[str, Any] = {}
    warnings: list[str] = []
    try:
        paper, warnings = paper_answer(spec, found)
    except GeometryFaults as error:
        errors += error.faults
    if errors:
        raise GeometryFaults(tuple(errors))
    return {"fabrics": found_fabrics, "paper": paper, **finish}, warnings


def cost_answer(
    spec: QuiltSpec,
    materials: Mapping[str, Any],
    pieces: int,
    stitches: int,
) -> dict[str, Any]:
    """Return cost if there are prices and times if there are speeds, per kit and in all."""
    answer: dict[str, Any] = {}
    if spec.prices is not None and spec.prices != cost.Prices():
        answer["cost"] = _cost(spec, spec.prices, materials)
    speed = spec.speeds
    if speed is not None and speed != cost.Speeds():
        times = {
            "basting_s": cost.basting_s(pieces, speed),
            "sewing_s": cost.sewing_s(stitches, speed),
        }
        known = {name: value for name, value in times.items() if value is not None}
        total = sum(known.values())
        answer["time"] = {**known, "per_kit_s": total, "total_s": total * spec.kits}
    return answer


def _cost(spec: QuiltSpec, prices: cost.Prices, materials: Mapping[str, Any]) -> dict[str, float]:
    # Patches were calculated for all kits together; finishing is per quilt.
    patches = sum(each.get("buy_mm", 0.0) for each in materials["fabrics"])
    finish = sum(materials[name]["buy_mm"] for name in ("binding", "backing"))
    found = cost.bill(
        prices,
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
