"""Every written file read again and followed along its plan, stroke by stroke."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from adapters import registry
from adapters.errors import ReadBackError
from adapters.readers.axes import on_bed
from adapters.readers.strokes import ReadStroke
from adapters.split import is_circle
from geometry.model.outline import Outline
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point, distance, heading
from geometry.model.segments import Arc, Segment
from geometry.units import PLOTTER_UNITS_PER_MM, UNIT_MM

#: A read end is taken for a planned one within this, mm.
_NEAR = 0.05
#: A circle's turns add up to a full one within this, rad.
_TURN = 0.5
#: Neighbouring segments so short that a format's grid may swallow them all, at the most.
_SWALLOWED = 64


@dataclass(frozen=True)
class ReadBack:
    """Who read a file back, and the worst distance from the plan that was found, mm."""

    reader: str
    worst_deviation: float


def read_back(
    format_name: str, data: bytes, plan: CutPlan, settings: Mapping[str, Any]
) -> ReadBack | None:
    """Return how far a written file stands off its plan; ``None`` when no reader knows it.

    Raises:
        ReadBackError: when strokes are missing, out of order, on the wrong layer, or farther
            off than the format's resolution.
    """
    try:
        read = _read(format_name, data, plan, settings)
    except (ValueError, KeyError, IndexError) as error:
        raise ReadBackError(f"{format_name}: the file cannot be read back: {error}") from error
    if read is None:
        return None
    reader, strokes = read
    return ReadBack(reader, _compared(format_name, strokes, plan, settings))


#: Formats that have a reader of another hand.
_READERS = ("svg", "dxf", "hpgl", "gcode", "pdf", "plan")
#: Formats whose settings may turn the axes.
_TURNED = ("dxf", "hpgl", "gcode")


def _read(
    format_name: str, data: bytes, plan: CutPlan, settings: Mapping[str, Any]
) -> tuple[str, list[ReadStroke]] | None:
    if format_name not in _READERS:
        # A plug-in may bring a reader of its own.
        own = getattr(registry.get(format_name), "read", None)
        return (f"{format_name}'s own reader", list(own(data))) if callable(own) else None
    # Each format pays for its own reader only.
    reader = import_module(f"adapters.readers.{format_name}")
    name: str = reader.READER
    strokes = _strokes(format_name, reader, data, plan, settings)
    if format_name in _TURNED and any(key in settings for key in ("origin", "turn_deg", "mirror")):
        strokes = on_bed(
            strokes,
            settings.get("origin", "lower-left"),
            settings.get("turn_deg", 0),
            settings.get("mirror", "none"),
            (plan.bed_width, plan.bed_height),
        )
    return name, strokes


def _strokes(
    format_name: str,
    reader: Any,  # noqa: ANN401 - a module
    data: bytes,
    plan: CutPlan,
    settings: Mapping[str, Any],
) -> list[ReadStroke]:
    if format_name == "hpgl":
        scale = float(settings.get("units_per_mm", PLOTTER_UNITS_PER_MM))
        found = reader.read(data, scale, arcs=True)
    elif format_name == "dxf":
        found = reader.read(data, unit=UNIT_MM[settings.get("units", "mm")])
        if settings.get("entities") == "exploded":
            counts = [1 if is_circle(stroke) else len(stroke.segments) for stroke in plan.strokes]
            found = reader.regrouped(found, counts)
    else:
        found = reader.read(data)
    strokes: list[ReadStroke] = found
    return strokes


def _compared(
    format_name: str, strokes: list[ReadStroke], plan: CutPlan, settings: Mapping[str, Any]
) -> float:
    if len(strokes) != len(plan.strokes):
        raise ReadBackError(
            f"{format_name}: the plan has {len(plan.strokes)} strokes, the file {len(strokes)}"
        )
    allowed = _allowed(format_name, settings)
    worst = 0.0
    groups: dict[str, object] = {}
    for number, (read, stroke) in enumerate(zip(strokes, plan.strokes, strict=True)):
        off = deviation(read, stroke, allowed=allowed)
        if off > allowed:
            raise ReadBackError(
                f"{format_name}: stroke {number} stands off the plan by {off:.4f} mm, "
                f"{allowed:.4f} mm is the format's resolution"
            )
        worst = max(worst, off)
        kind = _kind(format_name, stroke, settings)
        if groups.setdefault(read.group, kind) != kind:
            raise ReadBackError(f"{format_name}: stroke {number} stands in group {read.group}")
    return worst


def _allowed(format_name: str, settings: Mapping[str, Any]) -> float:
    adapter = registry.get(format_name)
    of_settings = getattr(adapter, "resolution_for", None)
    return float(of_settings(settings)) if callable(of_settings) else adapter.resolution


def _kind(format_name: str, stroke: Stroke, settings: Mapping[str, Any]) -> object:
    """Return what a format's groups tell apart: a pen where it has pens, else the work."""
    if format_name == "hpgl":
        return {"cut": 1, "score": 2, "mark": 3, **settings.get("pens", {})}[stroke.operation]
    return stroke.operation, stroke.angle_deg


def deviation(read: ReadStroke, stroke: Stroke, *, allowed: float = _NEAR) -> float:
    """Return how far a read stroke stands off a planned one, mm; infinite when it goes astray.

    The two are followed side by side from the start, so a mirrored, turned, reversed or partly
    missing stroke shows as well as a moved one: the read one may leave a segment of the plan
    only by that segment's end.

    Args:
        read: the stroke that the file holds.
        stroke: the planned one.
        allowed: moves this near, mm, to a planned segment are taken to belong to it.
    """
    ends = distance(stroke.vertices[0].point, stroke.vertices[-1].point)
    # A line that comes back to its start, as the letter O, looks closed where a format has no
    # word for it.
    if read.closed != stroke.closed and not (read.closed and ends < _NEAR):
        return math.inf
    if is_circle(stroke):
        return _off_circle(read, stroke)
    parts = _aligned(stroke, read).segments
    before = read.start
    states = {0: distance(before, parts[0].start)}
    for move in read.segments:
        for place in (move.middle, move.end):
            states = _followed(parts, states, place, before, allowed)
            before = place
    return min(
        max([off, *(distance(part.end, before) for part in parts[at:])])
        for at, off in states.items()
    )


def _followed(
    parts: tuple[Segment, ...],
    states: Mapping[int, float],
    place: Point,
    before: Point,
    allowed: float,
) -> dict[int, float]:
    """Return on which planned segments a read place may lie, each with the worst way off so far.

    Several may be possible where a path runs back beside itself, as at a cusp. A segment may be
    left only where the read stroke came by its end; a grid may swallow several short ones.
    """
    found: dict[int, float] = {}
    for at, so_far in states.items():
        off = max(so_far, _off(parts[at], place))
        found[at] = min(off, found.get(at, math.inf))
        passed = so_far
        for ahead in range(at + 1, min(at + _SWALLOWED, len(parts))):
            end = parts[ahead - 1].end
            passed = max(passed, min(distance(end, before), distance(end, place)))
            if passed > allowed:
                break
            off = max(passed, _off(parts[ahead], place))
            found[ahead] = min(off, found.get(ahead, math.inf))
    best = min(found.values())
    return {at: off for at, off in found.items() if off <= max(allowed, best)}


def _off_circle(read: ReadStroke, stroke: Stroke) -> float:
    """Return how far a read circle stands off; where on it a format starts says nothing."""
    a, b = stroke.vertices[0].point, stroke.vertices[1].point
    centre = Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
    radius = distance(a, b) / 2.0
    ring = [read.start, *(place for move in read.segments for place in (move.middle, move.end))]
    turns = [
        math.remainder(heading(centre, b) - heading(centre, a), math.tau)
        for a, b in itertools.pairwise(ring)
    ]
    # Once all the way round; which way says nothing of a circle.
    if abs(abs(sum(turns)) - math.tau) > _TURN:
        return math.inf
    return max(distance(ring[0], ring[-1]), *(abs(distance(centre, p) - radius) for p in ring))


def _aligned(stroke: Stroke, read: ReadStroke) -> Outline | Stroke:
    """Return a closed stroke started at the vertex nearest to where the file starts it."""
    if not stroke.closed:
        return stroke
    near = min(
        range(len(stroke.vertices)),
        key=lambda index: distance(read.start, stroke.vertices[index].point),
    )
    return Outline(stroke.vertices).started_at(near)


def _off(part: Segment, point: Point) -> float:
    """Return the distance from a point to a segment, mm."""
    if isinstance(part, Arc):
        # The chord parts a circle into its arcs: one of a positive bulge lies to the right.
        dx, dy = part.end.x - part.start.x, part.end.y - part.start.y
        side = (point.y - part.start.y) * dx - (point.x - part.start.x) * dy
        if side * part.bulge > 0.0:
            return min(distance(point, part.start), distance(point, part.end))
        return abs(distance(part.centre, point) - part.radius)
    dx, dy = part.end.x - part.start.x, part.end.y - part.start.y
    length = math.hypot(dx, dy)
    along = ((point.x - part.start.x) * dx + (point.y - part.start.y) * dy) / length
    if along < 0.0 or along > length:
        return min(distance(point, part.start), distance(point, part.end))
    return abs((point.x - part.start.x) * dy - (point.y - part.start.y) * dx) / length
