"""A simulation of the tip of a drag blade whose axis follows a path.

The tip is pulled behind the axis like a wheel on a rod: it always moves towards the axis, along a
tractrix. The simulation follows it step by step from the axis's path alone.

Source:
    Tractrix of a straight pull: tan(angle / 2) decays as exp(-way / rod), textbook; used as the
    exact solution of each small straight step.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Iterator, Sequence

from geometry.model.plan import Stroke
from geometry.model.points import Point
from geometry.proof.curves import Corner, sweep_and_centre

#: A blade within this angle of its way, rad, needs no more short steps.
_IN_LINE = 0.02
#: Longest step along an arc, rad.
_ARC_STEP = math.radians(15.0)
#: A tip that moves by less than this, mm, stands still; a turn of less than this, rad, is none.
_STILL, _STRAIGHT = 1.0e-6, 1.0e-9
#: Below this, the equation of an arc has a double root.
_DOUBLE_ROOT = 1.0e-9
#: Replaces a denominator of zero.
_TINY = 1.0e-300


def tip_paths(
    strokes: Sequence[Stroke], offset: float, heading: float, *, step: float = 0.005
) -> Iterator[tuple[Stroke, list[Point]]]:
    """Yield each stroke with the path of the lowered tip.

    Args:
        strokes: the axis's paths in order; marks are skipped.
        offset: rod length, mm, above 0.
        heading: from tip to axis before the first stroke, rad.
        step: longest straight step of the axis, mm.
    """
    for stroke in strokes:
        if stroke.operation == "mark":
            continue
        trail = []
        axis: complex | None = None
        for place in _walk(stroke, step):
            if axis is not None:
                heading = pulled(heading, place - axis, offset)
            axis = place
            tip = axis - cmath.rect(offset, heading)
            trail.append(Point(tip.real, tip.imag))
        yield stroke, trail


def tip_trail(rows: Sequence[Corner], offset: float, heading: float) -> tuple[list[Corner], float]:
    """Return the lowered tip's path for one path of the axis, and the heading at its end.

    It takes few steps, because each is exact whatever its length. The tip moves along its heading,
    so its path along an arc turns by as much as the heading does.

    Args:
        rows: the axis's path.
        offset: rod length, mm, above 0.
        heading: from tip to axis before it, rad.
    """
    trail: list[Corner] = []
    tip = rows[0][0] - cmath.rect(offset, heading)
    for (first, bulge), (last, _) in itertools.pairwise(rows):
        for axis, after in _steps(first, last, bulge, offset, heading):
            there = axis - cmath.rect(offset, after)
            if abs(there - tip) > _STILL:
                turn = math.remainder(after - heading, math.tau)
                trail.append(
                    (tip, math.tan(turn / 4.0) if bulge and abs(turn) > _STRAIGHT else 0.0)
                )
                tip = there
            heading = after
    trail.append((tip, 0.0))
    if len(trail) == 1:
        trail.append((tip, 0.0))
    return trail, heading


def _steps(
    first: complex, last: complex, bulge: float, offset: float, heading: float
) -> Iterator[tuple[complex, float]]:
    """Yield places of the axis along a line or an arc, with the heading at each."""
    if bulge:
        yield from _round(first, last, bulge, offset, heading)
        return
    way, ahead = abs(last - first), cmath.phase(last - first)
    done = 0.0
    # The tip's curve into line is followed in steps of half a rod.
    while way - done > offset and abs(math.remainder(heading - ahead, math.tau)) > _IN_LINE:
        done += offset / 2.0
        heading = pulled(heading, (last - first) * (offset / 2.0 / way), offset)
        yield first + (last - first) * (done / way), heading
    if way:
        yield last, pulled(heading, (last - first) * (1.0 - done / way), offset)


def _round(
    first: complex, last: complex, bulge: float, offset: float, heading: float
) -> Iterator[tuple[complex, float]]:
    """Yield places of the axis along an arc, with the heading at each."""
    sweep, centre = sweep_and_centre(first, last, bulge)
    arm = first - centre
    count = max(4, math.ceil(abs(sweep) / _ARC_STEP))
    turn, part = cmath.exp(1j * sweep / count), sweep / count
    ahead = cmath.phase(arm) + math.copysign(math.pi / 2.0, sweep)
    u = _half_tangent(heading - ahead)
    if u is None:
        for _ in range(count):
            arm *= turn
            heading = pulled_round(heading, ahead, abs(arm), part, offset)
            ahead += part
            yield centre + arm, heading
        return
    # All steps are equal, so the equation's coefficients are calculated once.
    pull, bend = _pull_and_bend(abs(arm), part, offset)
    for _ in range(count):
        arm *= turn
        ahead += part
        top, bottom = u * (1.0 - pull) - bend, u * bend + 1.0 + pull
        u = top / (bottom or _TINY)
        yield centre + arm, ahead + 2.0 * math.atan2(top, bottom)


def pulled_round(heading: float, ahead: float, radius: float, sweep: float, offset: float) -> float:
    """Return the rod's heading after its front end moved along an arc.

    Source:
        With u the tangent of half the angle from the tangent to the rod, s the way and k the
        curvature, u' = -(k / 2) u^2 - u / rod - k / 2: a Riccati equation with constant
        coefficients, solved by a linear system of two (derived).

    Args:
        heading: of the rod before.
        ahead: direction of the arc at its start, rad.
        radius: of the arc, mm.
        sweep: of the arc, rad, positive counter-clockwise.
        offset: rod length, mm.
    """
    u = _half_tangent(heading - ahead)
    if u is None:
        return heading
    pull, bend = _pull_and_bend(radius, sweep, offset)
    return ahead + sweep + 2.0 * math.atan2(u * (1.0 - pull) - bend, u * bend + 1.0 + pull)


def _half_tangent(angle: float) -> float | None:
    """Return the tangent of half an angle; ``None`` for one of half a turn."""
    off = math.remainder(angle, math.tau)
    return None if abs(off) >= math.pi - 1e-12 else math.tan(off / 2.0)


def _pull_and_bend(radius: float, sweep: float, offset: float) -> tuple[float, float]:
    """Return the coefficients of the linear system of an arc, for the rod and for the curvature."""
    way, bend = radius * abs(sweep), math.copysign(1.0 / radius, sweep)
    pull = 1.0 / (2.0 * offset)
    root = pull * pull - bend * bend / 4.0
    if abs(root) * way * way < _DOUBLE_ROOT:
        share = way
    elif root > 0.0:
        share = math.tanh(math.sqrt(root) * way) / math.sqrt(root)
    else:
        share = math.tan(math.sqrt(-root) * way) / math.sqrt(-root)
    return share * pull, share * bend / 2.0


def pulled(heading: float, move: complex, offset: float) -> float:
    """Return the rod's heading after a straight move of its front end."""
    way = abs(move)
    if way == 0.0:
        return heading
    ahead = cmath.phase(move)
    off = math.remainder(heading - ahead, math.tau)
    if abs(off) >= math.pi - 1e-12:
        return heading
    return ahead + 2.0 * math.atan(math.tan(off / 2.0) * math.exp(-way / offset))


def _walk(stroke: Stroke, step: float) -> Iterator[complex]:
    rows = list(stroke.vertices)
    if stroke.closed:
        rows.append(rows[0])
    yield complex(rows[0].x, rows[0].y)
    for first, last in itertools.pairwise(rows):
        a, b = complex(first.x, first.y), complex(last.x, last.y)
        if not first.bulge:
            count = max(1, math.ceil(abs(b - a) / step))
            for index in range(1, count + 1):
                yield a + (b - a) * index / count
            continue
        # The arc's centre from its chord and the tangent of a quarter of its sweep.
        sweep = 4.0 * math.atan(first.bulge)
        centre = (a + b) / 2.0 + 1j * (b - a) / 2.0 / math.tan(sweep / 2.0)
        count = max(8, math.ceil(abs(a - centre) * abs(sweep) / step))
        for index in range(1, count + 1):
            yield centre + (a - centre) * cmath.exp(1j * sweep * index / count)
