"""The neutral cut plan: the tool's moves in order, independent of file formats."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, TypeAlias

from geometry.model.cutter import WorkArea
from geometry.model.outline import Operation, Vertex, has_arcs, segments_of
from geometry.model.segments import Bounds, Segment

Part: TypeAlias = Literal["outline", "hole", "mark", "line-up", "nick", "bridge"]
Reason: TypeAlias = Literal["load-material", "turn-blade", "change-tool", "snip-ties", "check"]

#: Parts of a die's drawing that are notes to its maker, not cut or drawn on material.
NOTES: tuple[Part, ...] = ("nick", "bridge")


@dataclass(frozen=True)
class Stroke:
    """One continuous move of the tool in the material.

    ``vertices`` are the path of the machine's axis, including compensation, in mm from the bed's
    lower left corner. ``closed`` means that the path returns to its first vertex along the last
    vertex's bulge; an open one ignores that bulge. ``station`` numbers the settings of the tool
    within the plan from 1 (for an indexed blade: the blade angles in cutting order) and
    ``angle_deg`` is that blade angle, ``None`` where a tool has none. ``piece`` is empty and
    ``placement`` ``None`` for a stroke without a piece. ``part`` is ``outline``, ``hole``, ``mark``
    or ``line-up``, or for a note to a die's maker ``nick`` or ``bridge``.
    """

    operation: Operation
    vertices: tuple[Vertex, ...]
    closed: bool
    station: int = 1
    angle_deg: float | None = None
    piece: str = ""
    placement: int | None = None
    part: Part = "outline"
    pass_number: int = 1

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        """Return the lines and arcs in order."""
        return segments_of(self.vertices, closed=self.closed)

    @property
    def length(self) -> float:
        """Return the drawn length, mm."""
        return self._length

    @cached_property
    def _length(self) -> float:
        if has_arcs(self.vertices):
            return sum([part.length for part in self.segments])
        # A path of lines needs no segments.
        ends = (*self.vertices[1:], self.vertices[0]) if self.closed else self.vertices[1:]
        ways = zip(self.vertices, ends, strict=False)
        return sum([math.hypot(bx - ax, by - ay) for (ax, ay, _), (bx, by, _) in ways])


def box_of(strokes: Iterable[Stroke]) -> Bounds:
    """Return the box around strokes, of which there is at least one, mm."""
    boxes: list[Bounds] = []
    corners: list[Vertex] = []
    for stroke in strokes:
        if has_arcs(stroke.vertices):
            boxes.extend(part.bounds() for part in stroke.segments)
        else:
            corners.extend(stroke.vertices)
    if corners:
        across, along, _ = zip(*corners, strict=True)
        boxes.append(Bounds(min(across), min(along), max(across), max(along)))
    return Bounds.around(boxes)


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop for the operator before stroke number ``before_stroke`` (from 0).

    ``before_stroke`` may be the number of strokes: then the stop is after the last one. ``reason``
    is ``load-material``, ``turn-blade``, ``change-tool``, ``snip-ties`` or ``check``.
    """

    before_stroke: int
    reason: Reason
    message: str
    station: int | None = None
    angle_deg: float | None = None


@dataclass(frozen=True)
class CutPlan:
    """The ordered strokes and stops of one load.

    Units:
        mm, y up, from the lower left corner of the bed (``bed_width`` by ``bed_height``).

    ``layers`` names the layers of the whole run in order of first use, so that they look the same
    in the files of all loads; empty if no run is known. ``material`` and ``kit_number`` are for
    comments in files; empty if not known. ``passes`` are to be made over all lines: strokes hold
    one, the machine or its operator makes the others.
    """

    title: str
    bed_width: float
    bed_height: float
    work_area: WorkArea
    strokes: tuple[Stroke, ...]
    stops: tuple[Stop, ...] = ()
    tool_kind: str = "pen"
    layers: tuple[str, ...] = ()
    material: str = ""
    kit_number: str = ""
    passes: int = 1

    def with_vertices(self, change: Callable[[Vertex], Vertex]) -> CutPlan:
        """Return the plan with a function applied to all vertices."""
        strokes = tuple(
            replace(stroke, vertices=tuple(change(vertex) for vertex in stroke.vertices))
            for stroke in self.strokes
        )
        return replace(self, strokes=strokes)

    @property
    def cut_length(self) -> float:
        """Return the total length of strokes that touch the material, mm."""
        return sum(stroke.length for stroke in self.strokes if stroke.part not in NOTES)
