"""The neutral cut plan as JSON: exactly what was computed, for programs instead of machines."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.numbers import require_finite
from geometry.model.plan import CutPlan, Stop, Stroke


class PlanAdapter:
    """Writes the cut plan as JSON."""

    contract = CONTRACT
    name = "plan"
    title = "neutral cut plan, JSON"
    media_type = "application/json"
    extension = "plan.json"
    supports: frozenset[Kept] = frozenset(
        {"arcs", "operations", "stations", "stops", "pieces", "order"}
    )
    resolution = 1e-9
    settings: tuple[Setting, ...] = ()

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as JSON, with all digits of every number.

        Raises:
            SettingError: for an unknown setting.
            CannotHoldError: for a coordinate that is not finite.
        """
        resolved(self.settings, settings, self.name)
        require_finite(plan)
        box = plan.work_area.bounds
        document = {
            "units": "mm",
            "title": plan.title,
            "bed": {"width_mm": plan.bed_width, "height_mm": plan.bed_height},
            "work_area": {
                "x_mm": box.left,
                "y_mm": box.bottom,
                "width_mm": box.width,
                "height_mm": box.height,
            },
            "tool": plan.tool_kind,
            "strokes": [_stroke(stroke) for stroke in plan.strokes],
            "stops": [_stop(stop) for stop in plan.stops],
        }
        text = json.dumps(document, allow_nan=False, separators=(",", ":"))
        return Written(text.encode() + b"\n")


def _stroke(stroke: Stroke) -> dict[str, Any]:
    row: dict[str, Any] = {
        "operation": stroke.operation,
        "station": stroke.station,
        "piece": stroke.piece,
        "placement": stroke.placement,
        "part": stroke.part,
        "pass": stroke.pass_number,
        "closed": stroke.closed,
        "points": [list(vertex) for vertex in stroke.vertices],
    }
    if stroke.angle_deg is not None:
        row["angle_deg"] = stroke.angle_deg
    return row


def _stop(stop: Stop) -> dict[str, Any]:
    row: dict[str, Any] = {
        "before_stroke": stop.before_stroke,
        "reason": stop.reason,
        "message": stop.message,
    }
    if stop.station is not None:
        row["station"] = stop.station
    if stop.angle_deg is not None:
        row["angle_deg"] = stop.angle_deg
    return row


ADAPTER = PlanAdapter()
