"""Simulates a hand-set blade, which cuts a row of straight slits along each stroke.

It measures the depth of each slit in the pieces by points along it, and the uncut parts of each
outline, without splitting, shortening or assigning stretches to angles.

Source:
    A stab of width w at an angle d off its path reaches (w / 2) sin(d) to each side, and two
    stabs a step apart miss each other by step sin(d) (derived).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point

#: Number of points along each slit.
_ALONG = 17
#: Chord length for arcs of outlines, mm; at a radius of 5 mm the deviation is 0.001 mm.
_CHORDS = 0.2


class Slit(NamedTuple):
    """One stab: its two ends, mm, and the blade's angle to the path there, rad."""

    start: Point
    end: Point
    off: float


class Uncut(NamedTuple):
    """An uncut stretch of an outline: its middle and its length, mm."""

    middle: Point
    length: float


def slits(strokes: Sequence[Stroke], width: float, step: float) -> list[Slit]:
    """Return every slit of the cut strokes.

    Shape:
        Stabs along each line or arc, at most ``step`` apart, with the first and last at its ends;
        each is ``width`` long about its middle, at the stroke's ``angle_deg``.
    """
    found = []
    for stroke in strokes:
        if stroke.operation != "cut" or stroke.angle_deg is None:
            continue
        half, angle = width / 2.0, math.radians(stroke.angle_deg)
        dx, dy = half * math.cos(angle), half * math.sin(angle)
        rows = [*stroke.vertices, *(stroke.vertices[:1] if stroke.closed else ())]
        for a, b in itertools.pairwise(rows):
            for x, y, heading in walked(a, b, step):
                off = abs(math.remainder(angle - heading, math.pi))
                found.append(Slit(Point(x - dx, y - dy), Point(x + dx, y + dy), off))
    return found


def walked(a: Vertex, b: Vertex, step: float) -> list[tuple[float, float, float]]:
    """Return points from one vertex to the next, both included, and the heading at each.

    Args:
        a: start of the stretch, with its bulge.
        b: its end.
        step: maximum distance between two points, mm.
    """
    chord = math.hypot(b.x - a.x, b.y - a.y)
    if not a.bulge:
        count = max(1, math.ceil(chord / step))
        heading = math.atan2(b.y - a.y, b.x - a.x)
        return [
            (a.x + (b.x - a.x) * i / count, a.y + (b.y - a.y) * i / count, heading)
            for i in range(count + 1)
        ]
    sweep = 4.0 * math.atan(a.bulge)
    radius = chord / (2.0 * math.sin(abs(sweep) / 2.0))
    off = math.copysign(math.sqrt(max(0.0, radius**2 - chord**2 / 4.0)), sweep)
    off *= 1.0 if abs(sweep) <= math.pi else -1.0
    cx = (a.x + b.x) / 2.0 - off * (b.y - a.y) / chord
    cy = (a.y + b.y) / 2.0 + off * (b.x - a.x) / chord
    begin = math.atan2(a.y - cy, a.x - cx)
    count = max(1, math.ceil(radius * abs(sweep) / step))
    found = []
    for i in range(count + 1):
        at = begin + sweep * i / count
        heading = at + math.copysign(math.pi / 2.0, sweep)
        found.append((cx + radius * math.cos(at), cy + radius * math.sin(at), heading))
    return found


def deepest_past(found: Sequence[Slit], outline: Sequence[Vertex], width: float) -> float:
    """Return the maximum depth of slits in a piece beyond their own roughness, mm.

    Shape:
        The depth inside the outline minus (width / 2) sin(off), for each slit; negative if all stay
        below that, minus infinity if none enters.

    Args:
        found: the slits of a load.
        outline: of one piece in place.
        width: of the blade, mm.
    """
    ring = ring_of(outline, _CHORDS)
    piece = polygons.Polygon(ring)
    shares = np.linspace(0.0, 1.0, _ALONG)
    starts = np.array([slit.start for slit in found])
    ends = np.array([slit.end for slit in found])
    places = starts[:, None, :] + shares[None, :, None] * (ends - starts)[:, None, :]
    points = polygons.points(places.reshape(-1, 2))
    polygons.prepare(piece)
    inside = polygons.contains(piece, points)
    if not inside.any():
        return -math.inf
    depth = polygons.distance(polygons.LinearRing(ring), points[inside])
    rough = np.repeat([width / 2.0 * math.sin(slit.off) for slit in found], _ALONG)
    return float((depth - rough[inside]).max())


def uncut(
    found: Sequence[Slit],
    outline: Sequence[Vertex],
    width: float,
    *,
    slack: float = 0.03,
    speck: float = 0.05,
) -> list[Uncut]:
    """Return the uncut stretches of an outline, which should be its ties.

    Args:
        found: the slits of a load.
        outline: of one piece in place.
        width: of the blade, mm.
        slack: distance from the outline, beyond its roughness, at which a slit still cuts it, mm.
        speck: shorter stretches are ignored, mm.
    """
    ring = polygons.LinearRing(ring_of(outline, _CHORDS))
    near = polygons.STRtree([polygons.LineString([each.start, each.end]) for each in found])
    rows = near.query(ring, predicate="dwithin", distance=width)
    own = [found[int(row)] for row in np.sort(rows)]
    if not own:
        return [Uncut(outline[0].point, ring.length)]
    shares = np.linspace(0.0, 1.0, _ALONG)
    starts = np.array([slit.start for slit in own])
    ends = np.array([slit.end for slit in own])
    places = polygons.points(starts[:, None, :] + shares[None, :, None] * (ends - starts)[:, None])
    reach = np.array([width / 2.0 * math.sin(slit.off) + slack for slit in own])
    kept = polygons.distance(ring, places) <= reach[:, None]
    at = polygons.line_locate_point(ring, places)
    both = kept[:, 1:] & kept[:, :-1]
    low, high = np.minimum(at[:, 1:], at[:, :-1])[both], np.maximum(at[:, 1:], at[:, :-1])[both]
    return _between(ring, low, high, speck)


def _between(
    ring: polygons.LinearRing, low: NDArray[np.float64], high: NDArray[np.float64], speck: float
) -> list[Uncut]:
    """Return the rest of a ring between stretches, including stretches over its start."""
    whole = ring.length
    # A stretch over the ring's start seems to go round the other way.
    over = high - low > whole / 2.0
    begins = np.concatenate([low[~over], high[over] - whole, high[over]])
    stops = np.concatenate([high[~over], low[over], low[over] + whole])
    order = np.argsort(begins, kind="stable")
    gaps: list[tuple[float, float]] = []
    first = at = float(begins[order[0]])
    for begin, stop in zip(begins[order].tolist(), stops[order].tolist(), strict=True):
        if begin > at + speck:
            gaps.append((at, begin))
        at = max(at, stop)
    if first + whole > at + speck:
        gaps.append((at, first + whole))
    return [
        Uncut(Point(*ring.interpolate(((a + b) / 2.0) % whole).coords[0]), b - a) for a, b in gaps
    ]


def ring_of(outline: Sequence[Vertex], spacing: float) -> NDArray[np.float64]:
    """Return points of a closed outline: its vertices, and along arcs one every ``spacing`` mm."""
    rows: list[tuple[float, float]] = []
    for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
        along = walked(a, b, spacing if a.bulge else math.inf)
        rows.extend((x, y) for x, y, _ in along[:-1])
    return np.array(rows)
