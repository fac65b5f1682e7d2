"""Transforms that preserve lines and circles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from geometry.model.outline import LABEL, Chain, Mark, Outline, Region, Vertex
from geometry.model.points import Point

_RIGHT_ANGLES = {0: (1.0, 0.0), 90: (0.0, 1.0), 180: (-1.0, 0.0), 270: (0.0, -1.0)}


@lru_cache(maxsize=1024)
def cos_sin_deg(angle_deg: float) -> tuple[float, float]:
    """Return cosine and sine of an angle in degrees, exact at right angles."""
    turn = angle_deg % 360.0
    exact = _RIGHT_ANGLES.get(int(turn)) if turn == int(turn) else None
    if exact is not None:
        return exact
    return math.cos(math.radians(turn)), math.sin(math.radians(turn))


@dataclass(frozen=True, slots=True)
class Rigid:
    """Mirror in the y axis (if ``mirrored``), then rotate about the origin, then translate.

    Units:
        ``turn_deg`` in degrees, counter-clockwise, because the quarter and sixth turns of layouts
        must stay exact. ``x`` and ``y`` in mm.
    """

    turn_deg: float = 0.0
    x: float = 0.0
    y: float = 0.0
    mirrored: bool = False

    def shifted(self, dx: float, dy: float) -> Rigid:
        """Return the same transform, followed by a translation, mm."""
        return Rigid(self.turn_deg, self.x + dx, self.y + dy, self.mirrored)

    def _vertices(self, vertices: tuple[Vertex, ...]) -> tuple[Vertex, ...]:
        cos, sin = cos_sin_deg(self.turn_deg)
        # In half the time that calls of ``Vertex`` take: layouts and their checks move many.
        new, dx, dy = tuple.__new__, self.x, self.y
        if self.mirrored:
            vertices = tuple([new(Vertex, (-x, y, -bulge)) for x, y, bulge in vertices])
        return tuple(
            [
                new(Vertex, (x * cos - y * sin + dx, x * sin + y * cos + dy, bulge or 0.0))
                for x, y, bulge in vertices
            ]
        )

    def point(self, point: Point) -> Point:
        """Return the moved point."""
        cos, sin = cos_sin_deg(self.turn_deg)
        x, y = -point[0] if self.mirrored else point[0], point[1]
        return tuple.__new__(Point, (x * cos - y * sin + self.x, x * sin + y * cos + self.y))

    def places(self, vertices: Sequence[Vertex]) -> list[tuple[float, float]]:
        """Return where vertices come to lie, without their bulges."""
        cos, sin = cos_sin_deg(self.turn_deg)
        hand, dx, dy = -1.0 if self.mirrored else 1.0, self.x, self.y
        return [
            (hand * x * cos - y * sin + dx, hand * x * sin + y * cos + dy) for x, y, _ in vertices
        ]

    def outline(self, outline: Outline) -> Outline:
        """Return the moved outline; a mirrored one is reversed to stay counter-clockwise."""
        moved = Outline(self._vertices(outline.vertices))
        return moved.reversed() if self.mirrored else moved

    def chain(self, chain: Chain) -> Chain:
        """Return the moved chain."""
        return Chain(self._vertices(chain.vertices))

    def region(self, region: Region) -> Region:
        """Return the moved region, including marks and holes; labels stay readable."""
        marks = readable_when_mirrored(region.marks) if self.mirrored else region.marks
        return Region(
            self.outline(region.outline),
            tuple(self.outline(hole) for hole in region.holes),
            tuple(
                Mark(
                    mark.role,
                    mark.operation,
                    self.outline(mark.path)
                    if isinstance(mark.path, Outline)
                    else self.chain(mark.path),
                )
                for mark in marks
            ),
        )


def readable_when_mirrored(marks: Sequence[Mark]) -> tuple[Mark, ...]:
    """Return the marks with their label reflected in place, so that a mirrored piece's reads right.

    The label keeps its box, so it stays clear of everything else.
    """
    boxes = [mark.path.bounds for mark in marks if mark.role == LABEL]
    if not boxes:
        return tuple(marks)
    across = min(box.left for box in boxes) + max(box.right for box in boxes)

    def reflected(vertex: Vertex) -> Vertex:
        return Vertex(across - vertex.x, vertex.y, -vertex.bulge if vertex.bulge else 0.0)

    return tuple(
        Mark(mark.role, mark.operation, Chain(tuple(map(reflected, mark.path.vertices))))
        if mark.role == LABEL
        else mark
        for mark in marks
    )


def scaled(outline: Outline, factor: float) -> Outline:
    """Return the outline enlarged by ``factor`` (> 0) about the origin."""
    return Outline(tuple(Vertex(v.x * factor, v.y * factor, v.bulge) for v in outline.vertices))


def moved(outline: Outline, dx: float, dy: float) -> Outline:
    """Return the outline moved by ``dx``, ``dy`` mm."""
    return Outline(tuple(Vertex(v.x + dx, v.y + dy, v.bulge) for v in outline.vertices))
