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

import textwrap
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from adapters.axes import negative_coordinates, on_machine
from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.crossings import crossing_notice
from adapters.errors import SettingError
from adapters.frame import crosses_frame, frame_notice
from adapters.gcode_settings import SETTINGS
from adapters.names import comment, layer_of
from adapters.numbers import number, require_finite
from adapters.split import chords, short_arcs
from adapters.stop_faults import MAX_MESSAGE
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc, Line, Segment
from geometry.sentences import said
from geometry.units import MM_PER_INCH

#: Decimals of an S word.
_POWER_DIGITS = 4
#: Maximum deviation of chords from their arcs, mm.
CHORD = 0.005
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
    settings: tuple[Setting, ...] = SETTINGS

    def resolution_for(self, settings: Mapping[str, Any]) -> float:
        """Return the resolution of these settings, mm."""
        return self.resolution + (CHORD if settings.get("arcs") == "chords" else 0.0)

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
        over = crosses_frame(plan, values)
        program = _Program(drawn, values, goes_home=not over)
        losses = (*_losses(plan, values), *negative_coordinates("G-code", drawn, values))
        data = ("\n".join(program.lines()) + "\n").encode("ascii")
        lift = "" if program.laser else f"{number(values['clear_mm'], 2)} mm"
        bench = (frame_notice(lift=lift, is_home=False),) if over else ()
        return Written(data, losses, bench=(*bench, *crossing_notice(plan, lift=lift)))


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


def _losses(plan: CutPlan, values: Mapping[str, Any]) -> Iterator[str]:
    if not plan.title.isascii():
        yield (
            said(
                'G-code comments hold plain letters only: the title is written as "{comment}".',
                comment=comment(plan.title, _COMMENT),
            )
        )
    for name in ("power", "score_power"):
        power = values[name]
        if power is not None and float(number(power, _POWER_DIGITS)) != power:
            yield said(
                "G-code states {name} {power:g} as {number}.",
                name=name,
                power=power,
                number=number(power, _POWER_DIGITS),
            )
    bulges = (vertex.bulge for stroke in plan.strokes for vertex in stroke.vertices)
    if values["arcs"] == "chords" and any(bulges):
        yield said("G-code writes arcs as chords within {chord:g} mm.", chord=CHORD)


class _Program:
    def __init__(self, plan: CutPlan, values: Mapping[str, Any], *, goes_home: bool) -> None:
        self.plan, self.values, self.goes_home = plan, values, goes_home
        inch = values["units"] == "in"
        self.scale = 1.0 / MM_PER_INCH if inch else 1.0
        self.digits = 5 if inch else 4
        self.laser = values["head"] == "laser"
        # Where a machine stands when a program starts is not known.
        self.is_up = False

    def lines(self) -> Iterator[str]:
        yield from self.head()
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
        if self.goes_home:
            yield f"G0 X{number(0.0, 4, 1)} Y{number(0.0, 4, 1)}"
        yield "M2"

    def head(self) -> Iterator[str]:
        """Yield comments for the operator: what is cut from what, by which tool."""
        yield f"({comment(self.plan.title or 'cut plan', _COMMENT)})"
        yield f"({comment('tool ' + self.plan.tool_kind.replace('_', ' '), _COMMENT)})"
        if self.plan.material:
            yield f"({comment('material ' + self.plan.material, _COMMENT)})"
        if self.plan.kit_number:
            yield f"({comment('kit ' + self.plan.kit_number, _COMMENT)})"
        if self.plan.passes > 1:
            yield f"({self.plan.passes} passes needed, this file makes 1)"
        if self.laser:
            yield "(laser off while it travels)"
        else:
            yield f"(safe height {self.length(self.values['clear_mm'])} {self.values['units']})"

    def stop(self, stop: Stop) -> Iterator[str]:
        """Raise the tool, write the reason, and wait for the operator."""
        yield from self.up()
        words = comment(stop.message, MAX_MESSAGE) or stop.reason
        for line in textwrap.wrap(words, _COMMENT, break_on_hyphens=False):
            yield f"({line})"
        yield "M0"

    def up(self) -> Iterator[str]:
        """Raise the tool, or switch it off, unless it is."""
        if not self.is_up:
            yield "M5" if self.laser else f"G0 Z{self.length(self.values['clear_mm'])}"
        self.is_up = True

    def down(self, stroke: Stroke) -> Iterator[str]:
        self.is_up = False
        kind = "" if stroke.operation == "cut" else "score_"
        if self.laser:
            power = float(self.values[f"{kind}power"])
            yield f"{self.values['power_word']} S{number(power, _POWER_DIGITS)}"
        else:
            plunge = self.values["plunge_feed_mm_min"] or self.values["feed_mm_min"]
            yield f"G1 Z{self.length(self.values[f'{kind}depth_mm'])} F{self.feed(plunge)}"

    def feed(self, mm_min: float) -> str:
        return number(mm_min * self.scale, 3, 1)

    def length(self, mm: float) -> str:
        return number(mm * self.scale, self.digits, 1)

    def stroke(self, stroke: Stroke) -> Iterator[str]:
        if stroke.piece:
            placed = "" if stroke.placement is None else f" {stroke.placement + 1}"
            yield f"({comment(stroke.piece, 40)}{placed} {stroke.part})"
        x, y = self.rounded(stroke.vertices[0].point)
        yield f"G0 X{number(x, self.digits, 1)} Y{number(y, self.digits, 1)}"
        yield from self.down(stroke)
        feed = f" F{self.feed(self.values['feed_mm_min'])}"
        for part in self.parts(stroke):
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

    def parts(self, stroke: Stroke) -> Iterator[Segment]:
        """Return a stroke's lines and short arcs, or its chords."""
        if self.values["arcs"] == "arcs":
            return short_arcs(stroke)
        return (Line(a, b) for a, b in pairwise(chords(stroke, CHORD)))

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
