"""Closed outlines and open chains of lines and arcs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from operator import itemgetter
from typing import Literal, NamedTuple, TypeAlias

from geometry.model.points import Point, points_of
from geometry.model.segments import Arc, Bounds, Line, Segment

#: What a tool does along a line.
Operation: TypeAlias = Literal["cut", "score", "mark"]


class Vertex(NamedTuple):
    """A point and the bulge of the segment that starts there (0 for a line)."""

    x: float
    y: float
    bulge: float = 0.0

    @property
    def point(self) -> Point:
        """Return the point without the bulge."""
        # Half as slow as a call of ``Point``.
        return tuple.__new__(Point, self[:2])


#: The third member of a vertex.
_BULGE = itemgetter(2)


def has_arcs(vertices: Iterable[Vertex]) -> bool:
    """Return whether any of the segments that start at these vertices is an arc."""
    return any(map(_BULGE, vertices))


def segments_of(vertices: Sequence[Vertex], *, closed: bool) -> tuple[Segment, ...]:
    """Return the lines and arcs from each vertex to the next, and of a closed path to the first."""
    points = points_of([(x, y) for x, y, _ in vertices])
    ends = (*points[1:], points[0]) if closed else points[1:]
    # Most are lines: made without a call each, as points are.
    new = tuple.__new__
    return tuple(
        [
            Arc(start, end, bulge) if bulge else new(Line, (start, end))
            for start, end, (_, _, bulge) in zip(points, ends, vertices, strict=False)
        ]
    )


def _box(segments: Iterable[Segment]) -> Bounds:
    return Bounds.around(part.bounds() for part in segments)


def _straight_box(vertices: Sequence[Vertex]) -> Bounds | None:
    """Return the box of a path of lines without making these; ``None`` where it has arcs."""
    across, along, bulges = zip(*vertices, strict=True)
    return None if any(bulges) else Bounds(min(across), min(along), max(across), max(along))


def _turned_about(vertices: Sequence[Vertex]) -> tuple[Vertex, ...]:
    """Return a closed ring in the opposite direction, from the same first vertex."""
    back = [vertices[0], *reversed(vertices[1:])]
    bulges = [-vertex.bulge for vertex in reversed(vertices)]
    return tuple(
        Vertex(vertex.x, vertex.y, bulge or 0.0) for vertex, bulge in zip(back, bulges, strict=True)
    )


@dataclass(frozen=True)
class Outline:
    """A closed ring: vertices in order, the first not repeated, the last bulge closing it.

    Shape:
        Two or more vertices (two make a lens or a circle). The class itself validates nothing:
        ``geometry.validate`` says whether the ring is simple, counter-clockwise and has an area,
        and all functions of this package return such outlines.
    """

    vertices: tuple[Vertex, ...]

    def __hash__(self) -> int:
        """Return the hash of the vertices, which is calculated once: a layout asks often."""
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash(self.vertices)

    @classmethod
    def of(cls, points: Iterable[Sequence[float]]) -> Outline:
        """Return the outline of ``(x, y)`` or ``(x, y, bulge)`` rows."""
        return cls(tuple(Vertex(*map(float, row)) for row in points))

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        """Return the lines and arcs in order; segment ``i`` starts at vertex ``i``."""
        return segments_of(self.vertices, closed=True)

    @cached_property
    def boxes(self) -> tuple[Bounds, ...]:
        """Return the bounding box of each segment, mm."""
        return tuple([part.bounds() for part in self.segments])

    @cached_property
    def bounds(self) -> Bounds:
        """Return the bounding box, mm."""
        return _straight_box(self.vertices) or Bounds.around(self.boxes)

    @property
    def has_arcs(self) -> bool:
        """Return whether any segment is an arc."""
        return has_arcs(self.vertices)

    def reversed(self) -> Outline:
        """Return the ring in the opposite direction, from the same first vertex."""
        return Outline(_turned_about(self.vertices))

    def started_at(self, index: int) -> Outline:
        """Return the same ring with vertex ``index`` first."""
        return Outline(self.vertices[index:] + self.vertices[:index])

    def rows(self) -> list[list[float]]:
        """Return ``[x, y, bulge]`` rows, the form used in storage and in JSON."""
        return [[vertex.x, vertex.y, vertex.bulge] for vertex in self.vertices]


@dataclass(frozen=True)
class Chain:
    """An open chain of lines and arcs; the last vertex's bulge is unused and zero."""

    vertices: tuple[Vertex, ...]

    @classmethod
    def of(cls, points: Iterable[Sequence[float]]) -> Chain:
        """Return the chain of ``(x, y)`` or ``(x, y, bulge)`` rows."""
        return cls(tuple(Vertex(*map(float, row)) for row in points))

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        """Return the lines and arcs in order."""
        return segments_of(self.vertices, closed=False)

    @cached_property
    def bounds(self) -> Bounds:
        """Return the bounding box, mm."""
        return _straight_box(self.vertices) or _box(self.segments)

    def rows(self) -> list[list[float]]:
        """Return ``[x, y, bulge]`` rows, the form used in storage and in JSON."""
        return [[vertex.x, vertex.y, vertex.bulge] for vertex in self.vertices]


#: The role of a mark that is a line of a letter.
LABEL = "label"


@dataclass(frozen=True)
class Mark:
    """A score or mark stroke on a piece.

    ``role`` is its purpose: ``seam-line``, ``match-mark``, ``grain-arrow``, ``label``.
    """

    role: str
    operation: Operation
    path: Chain | Outline


@dataclass(frozen=True)
class Region:
    """An outer outline, its holes (also counter-clockwise) and its marks."""

    outline: Outline
    holes: tuple[Outline, ...] = ()
    marks: tuple[Mark, ...] = field(default=())
