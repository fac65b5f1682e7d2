"""Every written file read again and followed along its plan, stroke by stroke."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from adapters import registry
from adapters.errors import ReadBackError
from adapters.readers.strokes import ReadStroke
from adapters.split import is_circle
from geometry.model.outline import Outline
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Segment
from geometry.units import PLOTTER_UNITS_PER_MM

#: A read end is taken for a planned one within this, mm.
_NEAR = 0.05


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
        read = _read(format_name, data, settings)
    except (ValueError, KeyError, IndexError) as error:
        raise ReadBackError(f"{format_name}: the file cannot be read back: {error}") from error
    if read is None:
        return None
    reader, strokes = read
    return ReadBack(reader, _compared(format_name, strokes, plan))


#: Formats that have a reader of another hand.
_READERS = ("svg", "dxf", "hpgl", "gcode", "pdf", "plan")


def _read(
    format_name: str, data: bytes, settings: Mapping[str, Any]
) -> tuple[str, list[ReadStroke]] | None:
    if format_name not in _READERS:
        # A plug-in may bring a reader of its own.
        own = getattr(registry.get(format_name), "read", None)
        return (f"{format_name}'s own reader", list(own(data))) if callable(own) else None
    # Each format pays for its own reader only.
    reader = import_module(f"adapters.readers.{format_name}")
    name: str = reader.READER
    if format_name == "hpgl":
        return name, reader.read(data, float(settings.get("units_per_mm", PLOTTER_UNITS_PER_MM)))
    return name, reader.read(data)


def _compared(format_name: str, strokes: list[ReadStroke], plan: CutPlan) -> float:
    if len(strokes) != len(plan.strokes):
        raise ReadBackError(
            f"{format_name}: the plan has {len(plan.strokes)} strokes, the file {len(strokes)}"
        )
    allowed = registry.get(format_name).resolution
    worst = 0.0
    groups: dict[str, tuple[str, float | None]] = {}
    for number, (read, stroke) in enumerate(zip(strokes, plan.strokes, strict=True)):
        off = deviation(read, stroke)
        if off > allowed:
            raise ReadBackError(
                f"{format_name}: stroke {number} stands off the plan by {off:.4f} mm, "
                f"{allowed:.4f} mm is the format's resolution"
            )
        worst = max(worst, off)
        kind = (stroke.operation, stroke.angle_deg if format_name != "hpgl" else None)
        if groups.setdefault(read.group, kind) != kind:
            raise ReadBackError(f"{format_name}: stroke {number} stands in group {read.group}")
    return worst


def deviation(read: ReadStroke, stroke: Stroke) -> float:
    """Return how far a read stroke stands off a planned one, mm; infinite when it goes astray.

    The two are followed side by side from the start, so a mirrored, turned, reversed or partly
    missing stroke shows as well as a moved one.
    """
    ends = distance(stroke.vertices[0].point, stroke.vertices[-1].point)
    # A line that comes back to its start, as the letter O, looks closed where a format has no
    # word for it.
    if read.closed != stroke.closed and not (read.closed and ends < _NEAR):
        return math.inf
    if is_circle(stroke):
        return _off_circle(read, stroke)
    segments = list(_aligned(stroke, read).segments)
    worst, at = distance(read.start, segments[0].start), 0
    for number, move in enumerate(read.segments):
        if at >= len(segments):
            return math.inf
        part = segments[at]
        worst = max(worst, _off(part, move.middle), _off(part, move.end))
        last = number == len(read.segments) - 1
        if last or distance(move.end, part.end) < _NEAR:
            if at < len(segments) - 1 or last:
                worst = max(worst, distance(move.end, part.end))
            at += 1
    return worst if at == len(segments) else math.inf


def _off_circle(read: ReadStroke, stroke: Stroke) -> float:
    """Return how far a read circle stands off; where on it a format starts says nothing."""
    a, b = stroke.vertices[0].point, stroke.vertices[1].point
    centre = Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
    radius = distance(a, b) / 2.0
    ring = [read.start, *(place for move in read.segments for place in (move.middle, move.end))]
    # All the way round: the points' own middle is the centre only when none is missing.
    around = ring[:-1]
    middle = Point(
        sum(place.x for place in around) / len(around),
        sum(place.y for place in around) / len(around),
    )
    off = max(abs(distance(centre, place) - radius) for place in ring)
    return max(off, distance(middle, centre) - radius / 20.0, distance(ring[0], ring[-1]))


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
    """Return the distance from a point to a segment's own line or circle, mm."""
    if isinstance(part, Arc):
        return abs(distance(part.centre, point) - part.radius)
    dx, dy = part.end.x - part.start.x, part.end.y - part.start.y
    length = math.hypot(dx, dy)
    along = ((point.x - part.start.x) * dx + (point.y - part.start.y) * dy) / length
    if along < 0.0 or along > length:
        return min(distance(point, part.start), distance(point, part.end))
    return abs((point.x - part.start.x) * dy - (point.y - part.start.y) * dx) / length
