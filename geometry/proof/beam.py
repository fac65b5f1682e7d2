"""Simulates a beam, which burns everything within half its width of its path.

The burnt strip is the sweep of a disc. It is measured with full discs at points along the path,
against points along the outline, without offsets.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from geometry.model.outline import Vertex
from geometry.model.plan import Stroke

Places = NDArray[np.float64]


def burnt_edge_error(
    stroke: Stroke, outline: Sequence[Vertex], kerf: float, *, step: float = 0.01
) -> tuple[float, float]:
    """Return the burnt strip's deviation from an outline, mm: inside it, and short of it.

    Shape:
        ``(deepest, farthest)``: the maximum depth of any disc inside the outline, and the maximum
        distance from a point of the outline to the nearest burnt point.

    Args:
        stroke: the beam's path.
        outline: the piece at size, counter-clockwise.
        kerf: the disc's diameter, mm.
        step: spacing of discs and points, mm.
    """
    middles = _places(stroke.vertices, step, closed=stroke.closed)
    edge = _places(outline, step, closed=True)
    gaps = _nearest(edge, middles)
    # The path is nearer than the nearest disc's centre by half a step at most.
    slack = math.hypot(kerf / 2.0, step / 2.0) - kerf / 2.0
    inside = _inside(middles, edge)
    reach = np.where(inside, 1.0, -1.0) * _nearest(middles, edge)
    deepest = float(reach.max()) + kerf / 2.0
    farthest = float(gaps.max()) - kerf / 2.0
    return max(0.0, deepest), max(0.0, farthest - slack)


def _places(vertices: Sequence[Vertex], step: float, *, closed: bool) -> Places:
    rows = [*vertices, vertices[0]] if closed else list(vertices)
    found: list[complex] = []
    for a, b in itertools.pairwise(rows):
        first, last = complex(a.x, a.y), complex(b.x, b.y)
        if not a.bulge:
            count = max(1, math.ceil(abs(last - first) / step))
            found.extend(first + (last - first) * i / count for i in range(count))
            continue
        sweep = 4.0 * math.atan(a.bulge)
        centre = (first + last) / 2.0 + 1j * (last - first) / 2.0 / math.tan(sweep / 2.0)
        count = max(4, math.ceil(abs(first - centre) * abs(sweep) / step))
        turn = np.exp(1j * sweep * np.arange(count) / count)
        found.extend(centre + (first - centre) * turn)
    found.append(complex(rows[-1].x, rows[-1].y))
    return np.array([(place.real, place.imag) for place in found])


def _nearest(of: Places, to: Places) -> NDArray[np.float64]:
    found = np.empty(len(of))
    for start in range(0, len(of), 500):
        part = of[start : start + 500]
        away = np.hypot(part[:, None, 0] - to[None, :, 0], part[:, None, 1] - to[None, :, 1])
        found[start : start + 500] = away.min(axis=1)
    return found


def _inside(places: Places, ring: Places) -> NDArray[np.bool_]:
    """Count crossings with a horizontal ray to the right."""
    found = np.zeros(len(places), dtype=bool)
    for (ax, ay), (bx, by) in itertools.pairwise(ring):
        if ay == by:
            continue
        spans = (ay > places[:, 1]) != (by > places[:, 1])
        x = ax + (places[:, 1] - ay) * (bx - ax) / (by - ay)
        found ^= spans & (places[:, 0] < x)
    return found
