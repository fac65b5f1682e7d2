"""Simulates the tip of a drag blade whose axis follows a path.

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
