"""Rectangles of fabric that several right triangles, two trapezoids, or two long strips share.

Source:
    A square of the finished side + 7/8 in is cut once into two half-square triangles, one of the
    finished base + 1 1/4 in twice into four quarter-square triangles, at 1/4 in allowance:
    published lists of cutting sizes. The exact figures, and those of other legs, are derived.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from geometry.model.outline import Outline
from geometry.planning.trapezoids import trapezoid_pair

#: Tolerance of directions and lengths of edges, mm.
_NEAR = 1e-6
_CORNERS = 3


@dataclass(frozen=True)
class SharedRectangle:
    """A rectangle of fabric, mm, that straight cuts part into equal pieces.

    One cut gives two, the second lying a half turn from the first. Both diagonals give four, and
    two of them lie across the grain.

    Args:
        width: of the rectangle.
        length: of the rectangle.
        pieces: number of them.
        needs_quarter_turn: whether pieces lie across the grain.
        first: corners of the first of two pieces from the lower left corner, mm; empty where the
            cut is a diagonal.
        is_end_to_end: whether two rectangles lie end to end in it, neither of them turned.
    """

    width: float
    length: float
    pieces: int
    needs_quarter_turn: bool = False
    first: tuple[tuple[float, float], ...] = ()
    is_end_to_end: bool = False

    def by_ruler(self, ruled: Callable[[float], float]) -> SharedRectangle:
        """Return the rectangle with both ends of a slanted cut on the ruler's marks.

        Args:
            ruled: returns a length, mm, rounded up to a mark.
        """
        if not self.first:
            return self
        first = tuple(
            (ruled(x) if x > 0.0 else 0.0, ruled(y) if y > 0.0 else 0.0) for x, y in self.first
        )
        across, along = (math.fsum(each) for each in zip(*first, strict=True))
        # Four corners: two of them are the far ends of the sides that both pieces have whole.
        if len({x for x, _ in self.first}) == 2:  # noqa: PLR2004 - the cut ends on upright sides
            across /= 2.0
        else:
            along /= 2.0
        return replace(self, width=across, length=along, first=first)

    def first_in(self, width: float, length: float, turn_deg: float) -> list[tuple[float, float]]:
        """Return the corners of the first of two pieces in a rectangle rounded up by ruler.

        Args:
            width: of the rectangle as it lies turned, mm.
            length: of the rectangle as it lies turned, mm.
            turn_deg: of the rectangle, by quarters.
        """
        corners = self.first or ((0.0, 0.0), (self.width, 0.0), (0.0, self.length))
        shares = [(x / self.width, y / self.length) for x, y in corners]
        if self.first:
            for _ in range(round(turn_deg / 90.0) % 4):
                shares = [(1.0 - y, x) for x, y in shares]
        return [(x * width, y * length) for x, y in shares]


def shared_rectangle(outline: Outline, allowance: float) -> SharedRectangle | None:
    """Return the rectangle of fabric that several equal pieces share, if they can.

    Args:
        outline: the finished piece, as it lies on the grain.
        allowance: of its seams, the same all round, mm.
    """
    if (pair := trapezoid_pair(outline, allowance)) is not None:
        return SharedRectangle(pair.width, pair.length, 2, first=pair.first)
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


def end_to_end(width: float, height: float, turn_deg: float) -> SharedRectangle:
    """Return the rectangle as long as two strips of fabric, one above the other.

    Args:
        width: of a strip as it lies turned, mm.
        height: of a strip as it lies turned, mm.
        turn_deg: by which strips are turned from how they are drawn, by quarters.
    """
    is_drawn_level = round(turn_deg / 90.0) % 2 == 1
    across, along = (height, width) if is_drawn_level else (width, height)
    first = ((0.0, 0.0), (across, 0.0), (across, along), (0.0, along))
    sizes = (2.0 * across, along) if is_drawn_level else (across, 2.0 * along)
    return SharedRectangle(*sizes, 2, first=first, is_end_to_end=True)


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


def shared_pieces(
    shared: SharedRectangle, width: float, length: float, turn_deg: float, count: int
) -> tuple[Outline, ...]:
    """Return pieces cut from rectangles that stand side by side, from the lower left corner.

    Args:
        shared: how many come of each rectangle.
        width: of a rectangle as cut.
        length: of a rectangle as cut.
        turn_deg: of the rectangles, by quarters.
        count: of pieces; the last rectangle may have fewer.
    """
    found: list[Outline] = []
    first = shared.first_in(width, length, turn_deg)
    while len(found) < count:
        left = len(found) // shared.pieces * width
        a, b, c, d = (left, 0.0), (left + width, 0.0), (left + width, length), (left, length)
        if shared.needs_quarter_turn:
            middle = (left + width / 2.0, length / 2.0)
            rings = [[a, b, middle], [b, c, middle], [c, d, middle], [d, a, middle]]
        else:
            rings = [
                [(left + x, y) for x, y in first],
                [(left + width - x, length - y) for x, y in first],
            ]
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
