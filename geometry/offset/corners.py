"""Corner treatments for edges that move out: mitre, blunt or round.

Source:
    The tail of a mitre is a / sin(angle / 2); elementary. The rule of the square cut above a
    sharp tip is the trade's ("Hexagon Star Quilts", chapter Techniques).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.model.outline import Vertex
from geometry.model.points import Point, turn_between
from geometry.tolerance import SHORTEST_EDGE

#: A corner this close to half a turn, rad, is a cusp, whose moved edges never meet.
_CUSP = 1.0e-4
#: Turn times allowance, mm, below which a cut across a corner would be too short for an edge.
_TOO_FLAT = 4.0 * SHORTEST_EDGE


@dataclass(frozen=True, slots=True)
class Corners:
    """The requested corner treatment.

    ``kind`` is ``mitre``, ``blunt`` or ``round``; ``limit`` is the longest mitre from the
    template's corner to the patch's tip, in allowances. Beyond it the corner is cut blunt.
    """

    kind: str = "mitre"
    limit: float = 4.0


@dataclass(frozen=True, slots=True)
class CornerResult:
    """The treatment of one corner; ``tail`` is the patch's extent beyond it, mm."""

    corner: int
    treatment: str
    tail: float


@dataclass(frozen=True, slots=True)
class Treated:
    """The path round one convex corner.

    ``run_on`` and ``run_in`` are the extensions of the edge before and the edge after along their
    tangents, mm; ``cap`` joins their ends: ``None`` if they meet in one point, otherwise the bulge
    of the joining segment.
    """

    treatment: str
    tip: Point
    entry: Point
    cap: float | None
    tail: float


def treat(
    at: Point, before: float, after: float, widths: tuple[float, float], corners: Corners
) -> Treated:
    """Return the path round a convex corner.

    If two allowances differ much and the corner is flat, the wider edge's neighbour is shortened
    instead of extended: the tip then lies on it, and the treatment is a mitre. If it would be
    shortened by more than the mitre limit, a step joins the two edges. A corner that is too flat
    for a cut across it keeps its tip, and so does one whose tip lies no farther out than the cut.

    Args:
        at: the template's corner.
        before: heading of the edge that arrives, rad.
        after: heading of the edge that leaves, rad.
        widths: allowance of the two edges, mm.
        corners: the treatment asked for.
    """
    wide = max(widths)
    turn = turn_between(before, after)
    cusp = turn > math.pi - _CUSP
    kind = corners.kind
    flat = widths[0] == widths[1] and turn * wide <= _TOO_FLAT
    if kind == "round" and not flat and widths[0] == widths[1]:
        return _round(at, before, after, wide, turn)
    mitred = None if cusp else _mitre(at, before, after, widths)
    if mitred is not None:
        run_on, run_in, tip, tail = mitred
        if flat:
            return Treated(kind, tip, tip, None, tail)
        if min(run_on, run_in) < -corners.limit * wide:
            return step(at, before, after, widths)
        if min(run_on, run_in) < 0.0:
            return Treated("mitre", tip, tip, None, tail)
        is_short = kind == "mitre" and tail <= corners.limit * wide * (1.0 + 1e-12)
        if is_short or _meet_before_cut(at, tip, before, widths, turn):
            return Treated("mitre", tip, tip, None, tail)
    return _blunt(at, before, after, widths, turn)


def _meet_before_cut(
    at: Point, tip: Point, before: float, widths: tuple[float, float], turn: float
) -> bool:
    """Return whether edges of two allowances meet before a blunt cut, or so near that it is none.

    The narrower edge turns in sooner than the wider one reaches the cut: both would cross.
    """
    if widths[0] == widths[1]:
        return False
    nx, ny = _outward(before + turn / 2.0)
    beyond = (tip.x - at.x) * nx + (tip.y - at.y) * ny - max(widths)
    return beyond <= _TOO_FLAT * math.tan(turn / 2.0)


def _outward(direction: float) -> tuple[float, float]:
    """Return the unit normal to the right of a direction, outwards for a counter-clockwise ring."""
    return math.sin(direction), -math.cos(direction)


def moved_out(at: Point, direction: float, width: float) -> Point:
    """Return the point ``width`` mm outside ``at``, at right angles to a direction."""
    nx, ny = _outward(direction)
    return Point(at.x + width * nx, at.y + width * ny)


def step(at: Point, before: float, after: float, widths: tuple[float, float]) -> Treated:
    """Return a line from one allowance to another, at right angles to the edges."""
    return Treated(
        "step", moved_out(at, before, widths[0]), moved_out(at, after, widths[1]), 0.0, 0.0
    )


def _mitre(
    at: Point, before: float, after: float, widths: tuple[float, float]
) -> tuple[float, float, Point, float] | None:
    turn = turn_between(before, after)
    sine = math.sin(turn)
    if abs(sine) < 1e-15:  # noqa: PLR2004 - exactly opposite or alike
        return None
    # The tip is the point of the arriving edge at the leaving edge's width from that edge.
    run_on = (widths[1] - widths[0] * math.cos(turn)) / sine
    run_in = (widths[0] - widths[1] * math.cos(turn)) / sine
    if widths[0] == widths[1]:
        # tan(turn / 2) keeps its accuracy where the quotient above cancels.
        run_on = run_in = widths[0] * math.tan(turn / 2.0)
    base = moved_out(at, before, widths[0])
    tip = Point(base.x + run_on * math.cos(before), base.y + run_on * math.sin(before))
    return run_on, run_in, tip, math.hypot(widths[0], run_on)


def _round(at: Point, before: float, after: float, wide: float, turn: float) -> Treated:
    return Treated(
        "round",
        moved_out(at, before, wide),
        moved_out(at, after, wide),
        math.tan(turn / 4.0),
        wide,
    )


def _blunt(
    at: Point, before: float, after: float, widths: tuple[float, float], turn: float
) -> Treated:
    """Return a cut square to the corner's axis, the (larger) allowance beyond the corner."""
    wide = max(widths)
    half = turn / 2.0
    ends = []
    for direction, width, sense in ((before, widths[0], 1.0), (after, widths[1], -1.0)):
        run = (wide - width * math.cos(half)) / math.sin(half)
        base = moved_out(at, direction, width)
        ends.append(
            Point(
                base.x + sense * run * math.cos(direction),
                base.y + sense * run * math.sin(direction),
            )
        )
    tail = max(math.hypot(end.x - at.x, end.y - at.y) for end in ends)
    return Treated("blunt", ends[0], ends[1], 0.0, tail)


def corner_vertices(treated: Treated) -> list[Vertex]:
    """Return the vertices of the path round the corner; the last one starts the next edge."""
    if treated.cap is None:
        return [Vertex(treated.tip.x, treated.tip.y)]
    return [
        Vertex(treated.tip.x, treated.tip.y, treated.cap),
        Vertex(treated.entry.x, treated.entry.y),
    ]
