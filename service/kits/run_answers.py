"""What the answer states of a run and its loads, files apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from geometry.layout.item import Used
from service.requests.portions import uses_of
from service.runs.loads import PlannedLoad, PlannedRun
from service.runs.plies import finished
from service.runs.times import TIME_NOTE
from service.tools import kind_of


def bounds_of(planned: PlannedRun) -> dict[str, Any]:
    """Return how near a layout is to what no layout can exceed."""
    load_count = sum(load.load.repeats for load in planned.loads)
    bounds: dict[str, Any] = {
        "min_loads": planned.bound,
        "loads_above_min": load_count - planned.bound,
    }
    if planned.most_on_one is not None:
        bounds["max_outlines_per_load"] = planned.most_on_one
    lengths = [load.length * load.load.repeats for load in planned.loads if load.length is not None]
    if lengths and planned.length_bound is not None:
        keep = planned.run.cutter.margins
        bounds["roll"] = {
            "width_mm": planned.run.cutter.bed.height,
            "length_mm": sum(lengths),
            "min_length_mm": planned.length_bound + keep.left + keep.right,
        }
    return bounds


def _used_answer(used: Used) -> dict[str, Any]:
    width, height = used.right - used.left, used.top - used.bottom
    return {
        "strip": _rectangle(used.left, used.bottom, width, height),
        "area_mm2": used.area,
        "share": used.share,
        "largest_rest": None if used.rest is None else _rectangle(*used.rest),
    }


def _rectangle(x: float, y: float, width: float, height: float) -> dict[str, float]:
    return {"x_mm": x, "y_mm": y, "width_mm": width, "height_mm": height}


def load_answer(planned: PlannedRun, load: PlannedLoad) -> dict[str, Any]:
    """Return one load as the answer states it, without its files."""
    placed, plies = dict(load.load.placed), planned.plies
    mirrored = {
        piece: count * plies[piece].mirrored
        for piece, count in placed.items()
        if plies[piece].mirrored
    }
    placements = []
    for each in load.load.placements:
        row: dict[str, Any] = {
            "piece": each.piece,
            "x_mm": each.move.x,
            "y_mm": each.move.y,
            "turn_deg": each.move.turn_deg,
        }
        if each.move.mirrored:
            row["mirrored"] = True
        placements.append(row)
    return {
        "number": load.number,
        "repeats": load.load.repeats,
        "placed": placed,
        "counts": finished(plies, placed),
        **({"mirrored": mirrored} if mirrored else {}),
        "utilisation": load.utilisation,
        **({} if load.length is None else {"length_mm": load.length}),
        **({} if load.used is None else {"used": _used_answer(load.used)}),
        "offcuts": [
            {
                "name": each.name,
                "x_mm": each.x,
                "y_mm": each.y,
                "width_mm": each.width,
                "height_mm": each.height,
            }
            for each in load.offcuts
        ],
        "placements": placements,
        "cut_length_mm": load.planned.plan.cut_length,
        "travel_mm": load.planned.travel,
        "stops": [
            {
                "before_stroke": stop.before_stroke,
                "reason": stop.reason,
                "message": stop.message,
                **({} if stop.station is None else {"station": stop.station}),
                **({} if stop.angle_deg is None else {"angle_deg": stop.angle_deg}),
            }
            for stop in load.planned.plan.stops
        ],
        "estimated_s": load.planned.estimated_s,
        **kind_of(planned.run.cutter.tool).answer(load.planned),
    }


def piece_totals(planned: PlannedRun) -> dict[str, dict[str, Any]]:
    """Return what a run makes of each piece, beside what was asked."""
    run = planned.run
    totals: dict[str, dict[str, Any]] = {}
    uses, made, placed = uses_of(run), Counter[str](), Counter[str]()
    for load in planned.loads:
        for piece, count in load.load.placed.items():
            placed[piece] += count * load.load.repeats
    made.update(finished(planned.plies, placed))
    for piece in run.quantities:
        portions = {name: run.portions[name] for name in run.heaps.get(piece, (piece,))}
        needed = run.copies * sum(each.needed for each in portions.values())
        wanted = run.copies * sum(each.total for each in portions.values())
        totals[piece] = {
            "asked": needed,
            "made": made[piece],
            "spare": max(0, made[piece] - needed),
        }
        if planned.plies[piece].mirrored:
            totals[piece]["mirrored"] = planned.plies[piece].mirrored * placed[piece]
        if uses > 1:
            totals[piece]["uses_per_template"] = uses
        if made[piece] < wanted:
            totals[piece]["missing"] = wanted - made[piece]
        if run.copies > 1 or len(portions) > 1 or wanted > needed:
            totals[piece]["per_copy"] = {
                name: {"needed": each.needed, "spares": each.spares}
                for name, each in portions.items()
            }
    return totals


def kit_totals(runs: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return the sums over all loads of a kit's runs, as the answer states them."""
    loads = [load for run in runs for load in run["loads"]]
    return {
        "loads": sum(load["repeats"] for load in loads),
        "cut_length_mm": sum(load["cut_length_mm"] * load["repeats"] for load in loads),
        "travel_mm": sum(load["travel_mm"] * load["repeats"] for load in loads),
        "stops": sum(len(load["stops"]) * load["repeats"] for load in loads),
        "estimated_s": sum(load["estimated_s"] * load["repeats"] for load in loads),
        "estimate_basis": TIME_NOTE,
    }


def dies_of(planned: PlannedRun) -> dict[str, Any]:
    """Return the dies of a run: how often each is pressed and what a press gives."""
    if not kind_of(planned.run.cutter.tool).is_pressed:
        return {}
    rows = [
        {
            "load_number": load.number,
            "presses": load.load.repeats,
            "outlines": dict(load.load.placed),
            "pieces_per_press": finished(planned.plies, load.load.placed),
        }
        for load in planned.loads
    ]
    spare = sum(each["spare"] for each in piece_totals(planned).values())
    presses = sum(load.load.repeats for load in planned.loads)
    return {"dies": rows, "presses": presses, "spare": spare}


def per_outline(planned: PlannedRun) -> dict[str, Any]:
    """Return what one outline of each placed piece gives, where plies lie face to face."""
    if planned.run.stack != "face_to_face":
        return {}
    gives = {piece: dict(each.gives) for piece, each in planned.plies.items() if each.outlines}
    return {"pieces_per_outline": gives}
