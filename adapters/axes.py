"""Machine axes: the position of the origin on the bed and the directions of x and y."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from adapters.contract import Setting
from adapters.numbers import number
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import cos_sin_deg
from geometry.sentences import said

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


#: Coordinates this far below zero, mm, are rounding.
_ROUNDING = 1e-4


def on_machine(plan: CutPlan, values: Mapping[str, Any]) -> CutPlan:
    """Return the plan with its strokes in the machine's axes, mm; exact at quarter turns."""
    if (values["origin"], values["turn_deg"], values["mirror"]) == ("lower-left", 0, "none"):
        return plan
    return plan.with_vertices(_mover(plan, values, values["origin"]))


def bed_on_machine(plan: CutPlan, values: Mapping[str, Any]) -> Bounds:
    """Return the bed in the machine's axes, mm."""
    return _bed(plan, values, values["origin"])


def origin_on_bed(plan: CutPlan, values: Mapping[str, Any]) -> Point:
    """Return where the machine's 0,0 lies, in the axes of the bed."""
    across, up = _ORIGINS[values["origin"]]
    return Point(across * plan.bed_width, up * plan.bed_height)


def negative_coordinates(title: str, drawn: CutPlan, values: Mapping[str, Any]) -> Iterator[str]:
    """Yield a warning if coordinates are negative, with the origin that avoids them.

    Args:
        title: the format's, for the sentence.
        drawn: the plan in the machine's axes.
        values: the settings of the axes.
    """
    low = _lowest(drawn)
    if min(low) >= -_ROUNDING:
        return
    down = " and ".join(
        f"{axis} = {number(each, 2)} mm"
        for axis, each in zip("xy", low, strict=True)
        if each < -_ROUNDING
    )
    text = said("{title} has negative coordinates, down to {down}.", title=title, down=down)
    for origin in _ORIGINS:
        bed = _bed(drawn, values, origin)
        if min(bed.left, bed.bottom) >= -_ROUNDING and origin != values["origin"]:
            text += said(
                " If your machine accepts none, set its origin to {origin}.", origin=origin
            )
    yield text


def _lowest(drawn: CutPlan) -> tuple[float, float]:
    """Return the least x and the least y of all strokes, or 0 where none is negative."""
    low_x = low_y = 0.0
    for stroke in drawn.strokes:
        across, up, bulges = zip(*stroke.vertices, strict=True)
        left, bottom = min(across), min(up)
        # An arc leaves its chord by less than this, so most need no closer look.
        size = max(across) - left + max(up) - bottom
        room = size * max(1.0, *map(abs, bulges)) if any(bulges) else 0.0
        if room and (left - room < low_x or bottom - room < low_y):
            boxes = [part.bounds() for part in stroke.segments]
            left, bottom = min(box.left for box in boxes), min(box.bottom for box in boxes)
        low_x, low_y = min(low_x, left), min(low_y, bottom)
    return low_x, low_y


def _bed(plan: CutPlan, values: Mapping[str, Any], origin: str) -> Bounds:
    moved = _mover(plan, values, origin)
    ends = [moved(Vertex(x, y)) for x in (0.0, plan.bed_width) for y in (0.0, plan.bed_height)]
    across, up = [end.x for end in ends], [end.y for end in ends]
    return Bounds(min(across), min(up), max(across), max(up))


def _mover(plan: CutPlan, values: Mapping[str, Any], origin: str) -> Callable[[Vertex], Vertex]:
    x0, y0 = _ORIGINS[origin][0] * plan.bed_width, _ORIGINS[origin][1] * plan.bed_height
    cos, sin = cos_sin_deg(-float(values["turn_deg"]))
    sx, sy = (-1.0 if values["mirror"] == axis else 1.0 for axis in "xy")

    def moved(v: Vertex) -> Vertex:
        x, y = v.x - x0, v.y - y0
        return Vertex(sx * (x * cos - y * sin), sy * (x * sin + y * cos), sx * sy * v.bulge)

    return moved
