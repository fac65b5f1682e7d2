"""Points of lines and arcs, and where a placement puts them, for the proof of cut plans.

All of it is complex arithmetic of its own: a point is ``x + iy``, a placement a reflection, a
product and a sum.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry.model.outline import Vertex
from geometry.model.placement import Placement

Places = NDArray[np.complex128]
#: A vertex of a path as read here: its place, and the bulge of what follows it.
Corner = tuple[complex, float]

#: Maximum distance of a chord from its arc, mm.
SAG = 5.0e-4
#: Most distances that are measured at once, for the sake of memory.
_AT_ONCE = 1_000_000
#: How many points of an arc are looked at, its first among them.
_ALONG_ARCS = 8
#: Shares of an arc at which an outline is looked at; a line is looked at at its ends and middles.
_OF_ARCS = (0.0, 0.2, 0.4, 0.6, 0.8)
_OF_LINES = (0.0, 0.125, 0.375, 0.625, 0.875)


def corners(vertices: Iterable[Vertex], *, closed: bool) -> list[Corner]:
    """Return a path's vertices; the first once more at the end of a closed one."""
    rows = [(complex(v.x, v.y), v.bulge) for v in vertices]
    return [*rows, rows[0]] if closed else rows


def mirrored(rows: Sequence[Corner], across: float = 0.0) -> list[Corner]:
    """Return a path reflected in the line x = ``across`` / 2."""
    return [(across - place.conjugate(), -bulge) for place, bulge in rows]


def backwards(rows: Sequence[Corner]) -> list[Corner]:
    """Return a path from its end to its start."""
    bulges = [bulge for _, bulge in rows[:-1]]
    return [
        (place, -bulge) for (place, _), bulge in zip(rows[::-1], [*bulges[::-1], 0.0], strict=True)
    ]


def flat(rows: Sequence[Corner]) -> list[complex]:
    """Return a path as points, none of whose chords is farther than ``SAG`` from its arc."""
    found = [rows[0][0]]
    for (first, bulge), (last, _) in itertools.pairwise(rows):
        if bulge:
            found.extend(turned(first, last, bulge))
        else:
            found.append(last)
    return found


def turned(first: complex, last: complex, bulge: float) -> Iterator[complex]:
    """Yield points along an arc after its first, up to its last."""
    sweep, centre = sweep_and_centre(first, last, bulge)
    arm = first - centre
    most = 2.0 * math.acos(max(0.7, 1.0 - SAG / max(abs(arm), SAG)))
    count = max(2, math.ceil(abs(sweep) / most))
    step = cmath.exp(1j * sweep / count)
    for _ in range(count - 1):
        arm *= step
        yield centre + arm
    yield last


def sweep_and_centre(first: complex, last: complex, bulge: float) -> tuple[float, complex]:
    """Return an arc's sweep, rad, and its centre.

    Source:
        The bulge is the tangent of a quarter of the sweep (DXF reference, LWPOLYLINE, group 42).
    """
    sweep = 4.0 * math.atan(bulge)
    half = (last - first) / 2.0
    return sweep, first + half + 1j * half / math.tan(sweep / 2.0)


def length_of(rows: Sequence[Corner]) -> float:
    """Return the length of a path, mm."""
    total = 0.0
    for (first, bulge), (last, _) in itertools.pairwise(rows):
        way = abs(last - first)
        # The length of an arc to that of its chord.
        half = 2.0 * math.atan(bulge)
        total += way * half / math.sin(half) if half else way
    return total


def samples(rows: Sequence[Corner]) -> Places:
    """Return points of a path: its vertices, and some along each arc."""
    found: list[complex] = []
    for (first, bulge), (last, _) in itertools.pairwise(rows):
        if bulge:
            sweep, centre = sweep_and_centre(first, last, bulge)
            arm, step = first - centre, cmath.exp(1j * sweep / _ALONG_ARCS)
            for _ in range(_ALONG_ARCS):
                found.append(centre + arm)
                arm *= step
        else:
            found.append(first)
    found.append(rows[-1][0])
    return np.array(found)


class PathSet:
    """Paths of lines and arcs, for exact distances from many points."""

    def __init__(self, paths: Iterable[Sequence[Corner]]) -> None:
        """Take paths, each with at least two vertices."""
        parts = [
            (first, last, bulge)
            for rows in paths
            for (first, bulge), (last, _) in itertools.pairwise(rows)
        ]
        columns = np.array(parts, dtype=complex).reshape(-1, 3)
        bulges = columns[:, 2].real
        straight = bulges == 0.0
        self._lines = columns[straight, :2]
        first, last, bulge = columns[~straight, 0], columns[~straight, 1], bulges[~straight]
        sweep = 4.0 * np.arctan(bulge)
        half = (last - first) / 2.0
        self._centres = first + half + 1j * half / np.tan(sweep / 2.0)
        self._ends = np.column_stack([first, last])
        self._radii = np.abs(first - self._centres)
        self._toward = (first - self._centres) * np.exp(0.5j * sweep) / self._radii
        self._cosines = np.cos(sweep / 2.0)
        self.length = float(
            np.abs(self._lines[:, 1] - self._lines[:, 0]).sum()
            + (self._radii * np.abs(sweep)).sum()
        )

    def distances(self, points: Places) -> NDArray[np.float64]:
        """Return the distance of each point to the nearest path, mm."""
        size = max(1, _AT_ONCE // max(1, len(self._lines) + len(self._ends)))
        return np.concatenate(
            [self._some(points[at : at + size, None]) for at in range(0, len(points), size)]
        )

    def _some(self, points: Places) -> NDArray[np.float64]:
        # Squares of real numbers are several times as fast as distances of complex ones.
        x, y = points.real, points.imag
        found = np.full(len(points), np.inf)
        if len(self._lines):
            start, way = self._lines[:, 0], self._lines[:, 1] - self._lines[:, 0]
            across, up = x - start.real, y - start.imag
            squares = np.maximum(way.real**2 + way.imag**2, 1e-300)
            share = np.minimum(np.maximum((across * way.real + up * way.imag) / squares, 0.0), 1.0)
            across -= share * way.real
            up -= share * way.imag
            found = (across * across + up * up).min(axis=1)
        if len(self._ends):
            across, up = x - self._centres.real, y - self._centres.imag
            out = np.sqrt(across * across + up * up)
            ahead = across * self._toward.real + up * self._toward.imag
            away = np.where(ahead >= out * self._cosines, np.abs(out - self._radii), np.inf)
            found = np.minimum(found, (away * away).min(axis=1))
            for ends in self._ends.T:
                across, up = x - ends.real, y - ends.imag
                found = np.minimum(found, (across * across + up * up).min(axis=1))
        nearest: NDArray[np.float64] = np.sqrt(found)
        return nearest


def looks(rows: Sequence[Corner], hollow: float) -> list[complex]:
    """Return the points of a ring at which it is looked at, off corners that no disc can reach.

    Args:
        rows: the ring, with the piece on its left.
        hollow: radius of the disc, mm.
    """
    found: list[complex] = []
    parts = [(a, b, bulge) for (a, bulge), (b, _) in itertools.pairwise(rows)]
    directions = [_directions(*part) for part in parts]
    for number, (first, last, bulge) in enumerate(parts):
        before, after = directions[number - 1][1], directions[(number + 1) % len(parts)][0]
        starts, ends = directions[number]
        skipped = (_unreached(before, starts, hollow), _unreached(ends, after, hollow))
        for share in _OF_ARCS if bulge else _OF_LINES:
            place = _along(first, last, bulge, share)
            near = (abs(place - first), abs(place - last))
            if all(skip == 0.0 or way > skip for way, skip in zip(near, skipped, strict=True)):
                found.append(place)
    return found


def _directions(first: complex, last: complex, bulge: float) -> tuple[complex, complex]:
    half = cmath.exp(2j * math.atan(bulge)) if bulge else 1.0
    return (last - first) / half, (last - first) * half


def _unreached(before: complex, after: complex, radius: float) -> float:
    """Return how far from a hollow corner a disc that touches both edges meets them, mm."""
    turn = cmath.phase(after / before) if before and after else 0.0
    if turn >= 0.0 or not radius:
        return 0.0
    return radius * math.tan(min(-turn / 2.0, 1.55)) + 0.02


def _along(first: complex, last: complex, bulge: float, share: float) -> complex:
    if not bulge:
        return first + (last - first) * share
    sweep, centre = sweep_and_centre(first, last, bulge)
    return centre + (first - centre) * cmath.exp(1j * sweep * share)


def pairs(places: Sequence[complex] | Places) -> NDArray[np.float64]:
    """Return points as rows of x and y."""
    each = np.asarray(places, dtype=complex)
    return np.column_stack([each.real, each.imag])


def turn_of(placement: Placement) -> complex:
    """Return a placement's rotation as a factor."""
    return cmath.rect(1.0, math.radians(placement.move.turn_deg))


def on_bed(places: Places, placement: Placement) -> Places:
    """Return points of an outline where its placement puts them.

    A mirrored outline is reflected before (see :func:`mirrored`).
    """
    at = complex(placement.move.x, placement.move.y)
    return np.asarray(places * turn_of(placement) + at)
