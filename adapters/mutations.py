"""Typical writer errors as changes of a plan; read-back must detect each of them.

Writers and readers of such formats are known for these: scales that differ by an inch, by dots per
inch or by two sizes of the plotter unit, mirrors and turns of the whole or of each outline in its
own box, arcs that bulge the other way, are lost, or are cut into coarse chords.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import TypeAlias

from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc, Bounds, Segment

Mutation: TypeAlias = Callable[[CutPlan], CutPlan]
_COARSE = math.radians(10.0)


def mutations(resolution: float) -> Mapping[str, Mutation]:
    """Return the changed plans by name, each changed enough to exceed a resolution, mm."""
    step = max(0.05, 3.0 * resolution)
    return {
        "inch for mm": _scaled(1.0 / 25.4),
        "mm for inch": _scaled(25.4),
        "96 for 72 per inch": _scaled(96.0 / 72.0),
        "1016 for 1000 per inch": _scaled(1.016),
        "0.02488 for 0.025 mm": _scaled(0.02488 / 0.025),
        "mirrored in y": lambda plan: plan.with_vertices(
            lambda v: Vertex(v.x, plan.bed_height - v.y, -v.bulge)
        ),
        "mirrored in x": lambda plan: plan.with_vertices(
            lambda v: Vertex(plan.bed_width - v.x, v.y, -v.bulge)
        ),
        "turned half round": lambda plan: plan.with_vertices(
            lambda v: Vertex(plan.bed_width - v.x, plan.bed_height - v.y, v.bulge)
        ),
        "x and y swapped": lambda plan: plan.with_vertices(lambda v: Vertex(v.y, v.x, -v.bulge)),
        "each mirrored in its own box": _each(lambda stroke: _in_box(stroke, -1.0, 1.0)),
        "each turned in its own box": _each(lambda stroke: _in_box(stroke, -1.0, -1.0)),
        "bulges the other way": lambda plan: plan.with_vertices(
            lambda v: v._replace(bulge=-v.bulge)
        ),
        "arcs as one chord": lambda plan: plan.with_vertices(lambda v: v._replace(bulge=0.0)),
        "arcs in coarse chords": _each(lambda stroke: _chorded(stroke, 2.0 * resolution)),
        "moved a little": lambda plan: plan.with_vertices(lambda v: v._replace(x=v.x + step)),
        "one corner moved a little": _each(lambda stroke: _corner_moved(stroke, step)),
        "the last stroke lost": lambda plan: replace(plan, strokes=plan.strokes[:-1]),
        "another order": lambda plan: replace(plan, strokes=plan.strokes[::-1]),
    }


def _scaled(factor: float) -> Mutation:
    return lambda plan: plan.with_vertices(lambda v: Vertex(v.x * factor, v.y * factor, v.bulge))


def _each(change: Callable[[Stroke], Stroke]) -> Mutation:
    return lambda plan: replace(plan, strokes=tuple(map(change, plan.strokes)))


def _in_box(stroke: Stroke, along_x: float, along_y: float) -> Stroke:
    box = Bounds.around(part.bounds() for part in stroke.segments)
    x, y = box.left + box.right, box.bottom + box.top
    hand = along_x * along_y

    def moved(v: Vertex) -> Vertex:
        return Vertex(
            v.x if along_x > 0.0 else x - v.x, v.y if along_y > 0.0 else y - v.y, hand * v.bulge
        )

    return replace(stroke, vertices=tuple(map(moved, stroke.vertices)))


def _chorded(stroke: Stroke, off: float) -> Stroke:
    """Return a stroke with chords of ten degrees, or coarser if needed for this deviation."""
    vertices = [Vertex(p.x, p.y) for part in stroke.segments for p in _starts(part, off)]
    if not stroke.closed:
        vertices.append(stroke.vertices[-1]._replace(bulge=0.0))
    return replace(stroke, vertices=tuple(vertices))


def _starts(part: Segment, off: float) -> Iterator[Point]:
    count = 1
    if isinstance(part, Arc):
        wide = 2.0 * math.acos(max(-1.0, 1.0 - off / part.radius))
        # Half a circle in one chord would run back over itself.
        least = 2 if abs(part.sweep) >= math.pi else 1
        count = max(least, math.floor(abs(part.sweep) / max(_COARSE, wide)))
    return (part.point_at(k / count) for k in range(count))


def _corner_moved(stroke: Stroke, by: float) -> Stroke:
    at = len(stroke.vertices) // 2
    corner = stroke.vertices[at]
    moved = corner._replace(x=corner.x + by, y=corner.y - by)
    return replace(stroke, vertices=(*stroke.vertices[:at], moved, *stroke.vertices[at + 1 :]))
