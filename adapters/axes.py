"""Machine axes: the position of the origin on the bed and the directions of x and y."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from adapters.contract import Setting
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan
from geometry.model.transform import cos_sin_deg

#: Position of each origin, as shares of the bed's width and height.
_ORIGINS = {
    "lower-left": (0.0, 0.0),
    "lower-right": (1.0, 0.0),
    "upper-left": (0.0, 1.0),
    "upper-right": (1.0, 1.0),
    "centre": (0.5, 0.5),
}

AXES_SETTINGS: tuple[Setting, ...] = (
    Setting(
        "origin",
        "choice",
        "position of the machine's 0,0 on the bed",
        default="lower-left",
        choices=tuple(_ORIGINS),
    ),
    Setting(
        "turn_deg",
        "number",
        "how far the machine's x axis is turned counter-clockwise from the bed's",
        default=0,
        choices=("0", "90", "180", "270"),
    ),
    Setting(
        "mirror",
        "choice",
        "the axis that is reversed on the machine, after turning",
        default="none",
        choices=("none", "x", "y"),
    ),
)


def on_machine(plan: CutPlan, values: Mapping[str, Any]) -> CutPlan:
    """Return the plan with its strokes in the machine's axes, mm; exact at quarter turns."""
    origin, turn, mirror = values["origin"], values["turn_deg"], values["mirror"]
    if (origin, turn, mirror) == ("lower-left", 0, "none"):
        return plan
    x0, y0 = _ORIGINS[origin][0] * plan.bed_width, _ORIGINS[origin][1] * plan.bed_height
    cos, sin = cos_sin_deg(-float(turn))
    sx, sy = -1.0 if mirror == "x" else 1.0, -1.0 if mirror == "y" else 1.0

    def moved(v: Vertex) -> Vertex:
        x, y = v.x - x0, v.y - y0
        return Vertex(sx * (x * cos - y * sin), sy * (x * sin + y * cos), sx * sy * v.bulge)

    return plan.with_vertices(moved)
