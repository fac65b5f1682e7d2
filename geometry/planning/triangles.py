"""Right triangles cut from fabric: two or four share a rectangle, as the trade cuts them.

Source:
    A square of the finished side + 7/8 in is cut once into two half-square triangles, one of the
    finished base + 1 1/4 in twice into four quarter-square triangles, at 1/4 in allowance:
    published lists of cutting sizes. The exact figures, and those of other legs, are derived.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.model.outline import Outline

#: Tolerance of directions and lengths of edges, mm.
_NEAR = 1e-6
_CORNERS = 3


@dataclass(frozen=True)
class SharedRectangle:
    """A rectangle of fabric, mm, that cuts along its diagonals part into equal pieces.

    One diagonal gives two, the second lying a half turn from the first. Both give four, and two of
    them lie across the grain.
    """

    width: float
    length: float
    pieces: int
    needs_quarter_turn: bool = False


def shared_rectangle(outline: Outline, allowance: float) -> SharedRectangle | None:
    """Return the rectangle of fabric that several equal pieces share, if they can.

    Args:
        outline: the finished piece, as it lies on the grain.
        allowance: of its seams, the same all round, mm.
    """
    if outline.has_arcs or len(outline.vertices) != _CORNERS:
        return None
    short, middle, long = sorted(
        (
            (abs(end.x - start.x), abs(end.y - start.y))
            for start, end in zip(
                outline.vertices, outline.vertices[1:] + outline.vertices[:1], strict=True
            )
        ),
        key=lambda edge: math.hypot(*edge),
    )
    if _is_straight(short) and _is_straight(middle):
        return _pair(outline.bounds.width, outline.bounds.height, allowance)
    # Legs at 45 degrees to the grain: the long side is twice as long as the triangle is high.
    if _is_straight(long) and all(abs(x - y) <= _NEAR for x, y in (short, middle)):
        side = max(long) + quarter_square_add(allowance)
        return SharedRectangle(side, side, 4, needs_quarter_turn=True)
    return None


def _is_straight(edge: tuple[float, float]) -> bool:
    """Return whether an edge lies along or across the grain."""
    return min(edge) <= _NEAR


def _pair(width: float, length: float, allowance: float) -> SharedRectangle:
    """Return the rectangle whose diagonal is the long side of two triangles as cut.

    A leg p beside a leg q grows by a (1 + (p + c) / q), where c is the long side: a at the right
    angle and a / tan(half the angle) at the sharp one. Where p = q that is ``half_square_add``.
    """
    long = math.hypot(width, length)
    return SharedRectangle(
        width + allowance * (1.0 + (width + long) / length),
        length + allowance * (1.0 + (length + long) / width),
        2,
    )


def shared_triangles(
    shared: SharedRectangle, width: float, length: float, count: int
) -> tuple[Outline, ...]:
    """Return triangles cut from rectangles that stand side by side, from the lower left corner.

    Args:
        shared: how many come of each rectangle.
        width: of a rectangle as cut.
        length: of a rectangle as cut.
        count: of triangles; the last rectangle may have fewer.
    """
    found: list[Outline] = []
    while len(found) < count:
        left = len(found) // shared.pieces * width
        a, b, c, d = (left, 0.0), (left + width, 0.0), (left + width, length), (left, length)
        if shared.needs_quarter_turn:
            middle = (left + width / 2.0, length / 2.0)
            rings = [(a, b, middle), (b, c, middle), (c, d, middle), (d, a, middle)]
        else:
            rings = [(a, b, d), (b, c, d)]
        found += [Outline.of(ring) for ring in rings]
    return tuple(found[:count])


def half_square_add(allowance: float) -> float:
    """Return the addition to a half-square triangle's finished side for its cut square, mm.

    Source:
        a (2 + sqrt 2): 0.8536 in at 1/4 in, which the trade rounds up to 7/8. Derived.
    """
    return allowance * (2.0 + math.sqrt(2.0))


def quarter_square_add(allowance: float) -> float:
    """Return the addition to a quarter-square triangle's finished base for its cut square, mm.

    Source:
        2 a (1 + sqrt 2): 1.2071 in at 1/4 in, which the trade rounds up to 1 1/4. Derived.
    """
    return 2.0 * allowance * (1.0 + math.sqrt(2.0))
