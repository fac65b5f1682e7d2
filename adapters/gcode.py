"""G-code for open motion controllers; every mode is stated, none left to a machine's defaults.

Source:
    T. Kramer, F. Proctor, E. Messina, "The NIST RS274NGC Interpreter, Version 3", NISTIR 6556,
    2000: arcs by centre offsets must agree in radius at both ends within 0.002 mm; lines are at
    most 256 characters; comments may not nest.

Centres of arcs are relative to the arc's start, the only way in that standard. Some interpreters
derived from it also have G90.1 and G91.1, and may still be in G90.1 from an earlier program. We
write G91.1 only if a setting asks for it, because interpreters of the standard alone reject it, and
readers that drop decimals read it as G91. It comes before G90, which corrects such readers.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from adapters.axes import AXES_SETTINGS, negative_coordinates, on_machine
from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.errors import SettingError
from adapters.names import comment, layer_of
from adapters.numbers import number, require_finite
from adapters.split import short_arcs
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc
from geometry.units import MM_PER_INCH

#: Maximum length of a comment, for the line buffers of small controllers.
_COMMENT = 60


class GcodeAdapter:
    """Writes G-code (RS-274/NGC)."""

    contract = CONTRACT
    name = "gcode"
    title = "G-code, RS-274/NGC"
    media_type = "text/x-gcode"
    extension = "ngc"
    supports: frozenset[Kept] = frozenset(
        {"arcs", "operations", "stations", "stops", "pieces", "order"}
    )
    resolution = 0.001
    settings: tuple[Setting, ...] = (
        Setting(
            "head",
            "choice",
            "tool control: power words for a laser, z for a knife",
            choices=("laser", "knife"),
            required=True,
        ),
        Setting(
            "feed_mm_min",
            "number",
            "cutting feed in mm/min, from your own test cuts",
            minimum=1.0,
            maximum=100_000.0,
            required=True,
        ),
        Setting(
            "power",
            "number",
            "laser: the S word for cutting, in the controller's range",
            minimum=0.0,
            maximum=100_000.0,
        ),
        Setting(
            "score_power",
            "number",
            "laser: the S word for scoring and marking; needed where the plan does either",
            minimum=0.0,
            maximum=100_000.0,
        ),
        Setting(
            "power_word",
            "choice",
            "laser: M3 constant power, M4 power that follows the speed (laser mode only)",
            default="M3",
            choices=("M3", "M4"),
        ),
        Setting(
            "depth_mm",
            "number",
            "knife: z of the cut, below zero",
            minimum=-100.0,
            maximum=-0.001,
        ),
        Setting(
            "score_depth_mm",
            "number",
            "knife: z of scoring and marking, below zero; needed where the plan does either",
            minimum=-100.0,
            maximum=-0.001,
        ),
        Setting(
            "clear_mm",
            "number",
            "knife: z at which the head travels",
            default=5.0,
            minimum=0.1,
            maximum=200.0,
        ),
        Setting("units", "choice", "words in mm or inch", default="mm", choices=("mm", "in")),
        Setting(
            "arc_centres",
            "choice",
            "G91.1 states that arc centres are relative to the arc's start; for controllers that "
            "support it and may be in G90.1",
            default="unstated",
            choices=("unstated", "G91.1"),
        ),
        *AXES_SETTINGS,
    )

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as G-code.

        Raises:
            SettingError: when power, depth or feed is missing; they have no default.
            CannotHoldError: for a coordinate that is not finite.
        """
        values = resolved(self.settings, settings, self.name)
        _require_stated(plan, values)
        require_finite(plan)
        drawn = on_machine(plan, values)
        lines = list(_Program(drawn, values).lines())
        losses = tuple(negative_coordinates("G-code", drawn, values))
        return Written(("\n".join(lines) + "\n").encode("ascii"), losses)


def _require_stated(plan: CutPlan, values: Mapping[str, Any]) -> None:
    word = "power" if values["head"] == "laser" else "depth_mm"
    needed = [word]
    # A crease or a drawn line at the power of a cut would cut through.
    if any(stroke.operation != "cut" for stroke in plan.strokes):
        needed.append(f"score_{word}")
    for name in needed:
        if values[name] is None:
            raise SettingError(
                f"gcode for a {values['head']} needs {name}: it depends on your machine and "
                "material, must be found by test cuts, and is never guessed.",
                setting=name,
                format_name="gcode",
            )


class _Program:
    def __init__(self, plan: CutPlan, values: Mapping[str, Any]) -> None:
        self.plan, self.values = plan, values
        inch = values["units"] == "in"
        self.scale = 1.0 / MM_PER_INCH if inch else 1.0
        self.digits = 5 if inch else 4
        self.laser = values["head"] == "laser"

    def lines(self) -> Iterator[str]:
        yield f"({comment(self.plan.title or 'cut plan', _COMMENT)})"
        if self.values["arc_centres"] == "G91.1":
            yield "G91.1"
        yield f"G17 {'G20' if self.values['units'] == 'in' else 'G21'} G40 G90 G94"
        yield from self.up()
        stops = list(self.plan.stops)
        layer = ""
        for index, stroke in enumerate(self.plan.strokes):
            while stops and stops[0].before_stroke <= index:
                yield from self.stop(stops.pop(0))
            if layer_of(stroke) != layer:
                layer = layer_of(stroke)
                yield f"({comment(layer, _COMMENT)})"
            yield from self.stroke(stroke)
        for stop in stops:
            yield from self.stop(stop)
        yield from self.up()
        yield f"G0 X{number(0.0, 4, 1)} Y{number(0.0, 4, 1)}"
        yield "M2"

    def stop(self, stop: Stop) -> Iterator[str]:
        """Raise the tool, write the reason, and wait for the operator."""
        yield from self.up()
        words = comment(stop.message, 500).split()
        line = ""
        for word in words:
            if len(line) + len(word) + 1 > _COMMENT:
                yield f"({line})"
                line = ""
            line = f"{line} {word}".strip()
        yield f"({line or stop.reason})"
        yield "M0"

    def up(self) -> Iterator[str]:
        yield "M5" if self.laser else f"G0 Z{self.length(self.values['clear_mm'])}"

    def down(self, stroke: Stroke) -> Iterator[str]:
        kind = "" if stroke.operation == "cut" else "score_"
        if self.laser:
            power = float(self.values[f"{kind}power"])
            yield f"{self.values['power_word']} S{number(power, 3)}"
        else:
            yield f"G1 Z{self.length(self.values[f'{kind}depth_mm'])} F{self.feed()}"

    def feed(self) -> str:
        return number(self.values["feed_mm_min"] * self.scale, 3, 1)

    def length(self, mm: float) -> str:
        return number(mm * self.scale, self.digits, 1)

    def stroke(self, stroke: Stroke) -> Iterator[str]:
        if stroke.piece:
            placed = "" if stroke.placement is None else f" {stroke.placement + 1}"
            yield f"({comment(stroke.piece, 40)}{placed} {stroke.part})"
        x, y = self.rounded(stroke.vertices[0].point)
        yield f"G0 X{number(x, self.digits, 1)} Y{number(y, self.digits, 1)}"
        yield from self.down(stroke)
        feed = f" F{self.feed()}"
        for part in short_arcs(stroke):
            end = self.rounded(part.end)
            if end == (x, y):
                continue
            place = f"X{number(end[0], self.digits, 1)} Y{number(end[1], self.digits, 1)}"
            if isinstance(part, Arc):
                i, j = _centre_offset((x, y), end, part.bulge)
                words = f"I{number(i, self.digits, 1)} J{number(j, self.digits, 1)}"
                yield f"{'G3' if part.bulge > 0.0 else 'G2'} {place} {words}{feed}"
            else:
                yield f"G1 {place}{feed}"
            feed, (x, y) = "", end
        yield from self.up()

    def rounded(self, point: Point) -> tuple[float, float]:
        """Return a point rounded in output units; all other values derive from rounded ones."""
        return (
            round(point.x * self.scale, self.digits),
            round(point.y * self.scale, self.digits),
        )


def _centre_offset(
    start: tuple[float, float], end: tuple[float, float], bulge: float
) -> tuple[float, float]:
    """Return the centre relative to the start, on the bisector of the rounded chord."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    off = (1.0 - bulge * bulge) / (4.0 * bulge)
    return dx / 2.0 - off * dy, dy / 2.0 + off * dx


ADAPTER = GcodeAdapter()
