"""HP-GL: the core that all such plotters and cutters read.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996, ISBN 0-201-63325-6: the
    plotter unit is 0.025 mm; absolute integer coordinates; PU and PD take lists of points.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from adapters.axes import AXES_SETTINGS, negative_coordinates, on_machine
from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.crossings import crossing_notice
from adapters.errors import CannotHoldError
from adapters.frame import crosses_frame, frame_notice
from adapters.names import of_layer
from adapters.numbers import number, require_finite
from adapters.split import chords, short_arcs
from geometry.measure import flattened_segment
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc
from geometry.sentences import said
from geometry.units import PLOTTER_UNITS_PER_MM

#: Maximum deviation of chords from their arcs, mm: well under half a plotter unit.
CHORD = 0.005
#: Largest coordinate of classic HP-GL, plotter units: a signed 16-bit integer.
_LARGEST = 32767
#: Arcs below this radius, mm, are always written as chords, because the grid would distort them.
_SMALL = 1.0
#: Maximum points and characters per instruction: some machines have small line buffers.
_POINTS = 40
_CHARACTERS = 400
#: Pens by operation, where none are stated.
PENS = {"cut": 1, "score": 2, "mark": 3}


class HpglAdapter:
    """Writes HP-GL."""

    contract = CONTRACT
    name = "hpgl"
    title = "HP-GL, plotter units"
    media_type = "application/vnd.hp-hpgl"
    extension = "plt"
    supports: frozenset[Kept] = frozenset({"operations", "order"})
    #: Half a diagonal of the grid, the chord's deviation, and a little for the reader's arithmetic.
    resolution = 0.0177 + CHORD + 0.001
    settings: tuple[Setting, ...] = (
        Setting(
            "units_per_mm",
            "number",
            "plotter units per millimetre",
            default=PLOTTER_UNITS_PER_MM,
            minimum=1.0,
            maximum=1000.0,
        ),
        Setting(
            "pens",
            "pens",
            "pen number by layer (cut, cut-45deg, score, mark; cut alone stands for every blade "
            "angle)",
            default=PENS,
            minimum=1,
            maximum=8,
        ),
        Setting("wide", "flag", "allow coordinates beyond 32767 plotter units", default=False),
        Setting(
            "arcs",
            "choice",
            "chords, or AA instructions if your machine supports them",
            default="chords",
            choices=("chords", "AA"),
        ),
        Setting(
            "speed_cm_s",
            "number",
            "tool speed (VS), whole cm/s, from your own test cuts; a fraction is dropped; the "
            "machine's default when not stated",
            minimum=1.0,
            maximum=127.0,
        ),
        *AXES_SETTINGS,
    )

    def resolution_for(self, settings: Mapping[str, Any]) -> float:
        """Return the resolution of these settings, mm."""
        grid = math.sqrt(0.5) / float(settings.get("units_per_mm", PLOTTER_UNITS_PER_MM))
        # AA rounds the start and the centre to the grid, each by up to half a diagonal. The radius
        # is their distance, so a point of the arc may be off by three of these.
        off = 3.0 * grid if settings.get("arcs") == "AA" else grid
        return max(off, grid + CHORD) + 0.001

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as HP-GL.

        Raises:
            SettingError: for a setting that is unknown or out of its bounds.
            CannotHoldError: when a coordinate does not fit the classic integer range.
        """
        values = resolved(self.settings, settings, self.name)
        require_finite(plan)
        # Plotters go from and to 0,0 by themselves.
        frame = [frame_notice(is_home=True)] if crosses_frame(plan, values) else []
        bench = (*frame, *crossing_notice(plan))
        plan = on_machine(plan, values)
        pens = {**PENS, **values["pens"]}
        lines = ["IN;"]
        speed = values["speed_cm_s"]
        pen = 0
        for stroke in plan.strokes:
            if _pen(stroke, pens) != pen:
                pen = _pen(stroke, pens)
                lines.append(f"SP{pen:.0f};")
                if speed is not None:
                    # Never faster than was tested.
                    lines.append(f"VS{math.floor(speed)};")
            lines.extend(_stroke(stroke, values))
        lines.append("SP0;")
        losses = (*_losses(plan, pens, values), *negative_coordinates("HP-GL", plan, values))
        return Written(("\n".join(lines) + "\n").encode("ascii"), losses, bench=bench)


def _pen(stroke: Stroke, pens: Mapping[str, int]) -> int:
    """Return the pen of a stroke: its layer's where that is stated, else its operation's."""
    return of_layer(stroke, pens, 1)


def _stroke(stroke: Stroke, values: Mapping[str, Any]) -> Iterator[str]:
    scale, wide = float(values["units_per_mm"]), bool(values["wide"])
    if values["arcs"] == "AA" and any(v.bulge for v in stroke.vertices):
        yield from _with_arcs(stroke, scale, wide=wide)
        return
    # Points are snapped before differences are taken, so that differences are never rounded.
    places = [_snapped(point, scale, wide=wide) for point in chords(stroke, CHORD)]
    yield f"PU{places[0][0]},{places[0][1]};"
    # A stroke within one place of the grid is a dot.
    yield from _lowered(_moves(places) or places[:1])
    yield "PU;"


def _moves(places: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return the places after the first that differ from the one before."""
    return [b for a, b in itertools.pairwise(places) if a != b]


def _lowered(places: Sequence[tuple[int, int]]) -> Iterator[str]:
    """Yield instructions that draw lines through these places, each short enough."""
    row: list[str] = []
    length = len("PD;")
    for x, y in places:
        text = f"{x},{y}"
        if row and (len(row) == _POINTS or length + len(text) + 1 > _CHARACTERS):
            yield f"PD{','.join(row)};"
            row, length = [], len("PD;")
        row.append(text)
        # With the comma before the next place.
        length += len(text) + 1
    if row:
        yield f"PD{','.join(row)};"


def _with_arcs(stroke: Stroke, scale: float, *, wide: bool) -> Iterator[str]:
    """Yield a stroke with AA for its arcs, each followed by a line to its exact end.

    An arc whose centre is out of range is written as chords: the centre of a gentle arc may lie
    far outside the bed.
    """
    at = _snapped(stroke.vertices[0].point, scale, wide=wide)
    yield f"PU{at[0]},{at[1]};"
    yield f"PD{at[0]},{at[1]};"
    for part in short_arcs(stroke):
        end = _snapped(part.end, scale, wide=wide)
        if isinstance(part, Arc) and not _has_instruction(part, scale, wide=wide):
            points = [*flattened_segment(part, CHORD), part.end]
            places = [_snapped(point, scale, wide=wide) for point in points]
            yield from _lowered(_moves([at, *places]))
        elif end != at:
            if isinstance(part, Arc):
                x, y = _snapped(part.centre, scale, wide=wide)
                sweep = number(_sweep_deg(at, end, (x, y), part.bulge), 4, 1)
                yield f"AA{x},{y},{sweep},{_arc_chord_deg(part.radius)};"
            yield f"PD{end[0]},{end[1]};"
        at = end
    yield "PU;"


def _has_instruction(arc: Arc, scale: float, *, wide: bool) -> bool:
    """Return whether an arc is written as AA: it is not tiny, and its centre is in range."""
    return arc.radius >= _SMALL and (wide or _largest(arc.centre, scale) <= _LARGEST)


def _sweep_deg(
    start: tuple[int, int], end: tuple[int, int], centre: tuple[int, int], bulge: float
) -> float:
    """Return the sweep between snapped ends around a snapped centre."""
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (last - first) % math.tau
    return math.degrees(turn if bulge > 0.0 else turn - math.tau)


def _arc_chord_deg(radius: float) -> str:
    """Return the chord angle that the machine may step by to stay within ``CHORD``."""
    step = math.degrees(2.0 * math.acos(1.0 - min(1.0, CHORD / radius)))
    return number(min(5.0, max(0.5, step)), 2, 1)


def _snapped(point: Point, scale: float, *, wide: bool) -> tuple[int, int]:
    x, y = round(point.x * scale), round(point.y * scale)
    if not wide and _largest(point, scale) > _LARGEST:
        largest = round(max(abs(point.x), abs(point.y)), 3)
        raise CannotHoldError(
            f"A coordinate is {largest:g} mm; the limit of HP-GL is {_LARGEST / scale:g} mm. "
            "Set wide if your machine accepts more.",
            format_name="hpgl",
        )
    return x, y


def _largest(point: Point, scale: float) -> int:
    """Return the larger coordinate of a point without its sign, plotter units."""
    return max(abs(round(point.x * scale)), abs(round(point.y * scale)))


def _losses(plan: CutPlan, pens: Mapping[str, int], values: Mapping[str, Any]) -> Iterator[str]:
    if any(stroke.piece for stroke in plan.strokes):
        yield said("HP-GL files carry no piece names: see the load's picture.")
    yield from _arc_losses(plan, values)
    speed = values["speed_cm_s"]
    if speed is not None and speed != math.floor(speed):
        yield (
            said(
                "HP-GL states speeds in whole cm/s: {speed:g} cm/s is written as {floor} cm/s.",
                speed=speed,
                floor=math.floor(speed),
            )
        )
    used = {_pen(stroke, pens) for stroke in plan.strokes}
    if len(used) < len({stroke.operation for stroke in plan.strokes}):
        yield said("HP-GL uses one pen for several operations: the file does not distinguish them.")
    stations = {stroke.station for stroke in plan.strokes}
    if len({(stroke.station, _pen(stroke, pens)) for stroke in plan.strokes}) > len(used):
        # Some pen is used for more than one blade angle.
        yield (
            said(
                "HP-GL cannot stop the machine for the operator: write one file per blade "
                'angle ("one_file_per": "station"), or give each angle its own pen.'
            )
        )
    elif len(stations) > 1:
        yield (
            said(
                "HP-GL distinguishes blade angles only by their pens: your machine must stop "
                "between pens, or the blade is not turned."
            )
        )
    elif any(0 < stop.before_stroke < len(plan.strokes) for stop in plan.stops):
        yield (
            said(
                "HP-GL cannot stop the machine for the operator: the run sheet says after "
                "which stroke to stop it."
            )
        )


def _arc_losses(plan: CutPlan, values: Mapping[str, Any]) -> Iterator[str]:
    arcs = [part for each in plan.strokes for part in each.segments if isinstance(part, Arc)]
    chorded = said("chords within {chord:g} mm", chord=CHORD)
    if arcs and values["arcs"] == "AA":
        scale, wide = float(values["units_per_mm"]), bool(values["wide"])
        native = [_has_instruction(part, scale, wide=wide) for part in arcs]
        if any(native):
            yield said("HP-GL writes arcs as AA instructions, on a grid of plotter units.")
        if not all(native):
            yield (
                said(
                    "HP-GL writes arcs of less than {small:g} mm radius, and those whose "
                    "centre is more than {largest:.1f} mm from the origin, as {chorded}.",
                    small=_SMALL,
                    largest=_LARGEST / scale,
                    chorded=chorded,
                )
            )
    elif arcs:
        yield said("HP-GL writes arcs as {chorded}, on a grid of plotter units.", chorded=chorded)


ADAPTER = HpglAdapter()
