"""The places of a path of lines and arcs that are nearest to given ones."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from adapters.readers.strokes import ReadStroke
from geometry.model.points import Point
from geometry.model.segments import Segment

#: Height of an arc above its chord, mm, below which it counts as a line.
_STRAIGHT = 1e-7


class NearestPlaces:
    """A path of lines and arcs that finds its place nearest to another.

    Args:
        rows: x and y of the start, x and y of the end, and bulge of each segment, mm; at least one.
    """

    def __init__(self, rows: Iterable[tuple[float, float, float, float, float]]) -> None:
        table = np.array(list(rows), dtype=float)
        self._start = table[:, 0] + 1j * table[:, 1]
        self._end = table[:, 2] + 1j * table[:, 3]
        bulge = table[:, 4]
        chord = self._end - self._start
        self._bent = np.abs(bulge * chord) / 2.0 > _STRAIGHT
        self._bulge = np.where(self._bent, bulge, 1.0)
        off = (1.0 - self._bulge**2) / (4.0 * self._bulge)
        self._centre = (self._start + self._end) / 2.0 + 1j * off * chord

    @classmethod
    def of_segments(cls, segments: Iterable[Segment]) -> NearestPlaces:
        """Return the path of a planned stroke."""
        return cls((*part.start, *part.end, part.bulge) for part in segments)

    @classmethod
    def of_read(cls, read: ReadStroke) -> NearestPlaces:
        """Return the path of a stroke of a file."""
        rows, start = [(*read.start, *read.start, 0.0)], read.start
        for move in read.segments:
            dx, dy = move.end.x - start.x, move.end.y - start.y
            squared = dx * dx + dy * dy
            # An arc's middle is off its chord by half the chord times the bulge, on its right.
            aside = dx * (move.middle.y - start.y) - dy * (move.middle.x - start.x)
            bulge = -2.0 * aside / squared if squared else 0.0
            rows.append((*start, *move.end, bulge if math.isfinite(bulge) else 0.0))
            start = move.end
        return cls(rows)

    def of(self, place: Point) -> Point:
        """Return the place of the path that is nearest to another."""
        at = complex(*place)
        with np.errstate(all="ignore"):
            chord = self._end - self._start
            squared = np.abs(chord) ** 2
            along = ((at - self._start) * chord.conjugate()).real / np.where(squared, squared, 1.0)
            found = self._start + np.clip(along, 0.0, 1.0) * chord
            on_arc = self._on_arcs(at)
            found = np.where(self._bent, on_arc, found)
            apart = np.abs(found - at)
        best = found[int(np.argmin(np.where(np.isfinite(apart), apart, np.inf)))]
        return Point(float(best.real), float(best.imag))

    def _on_arcs(self, at: complex) -> np.ndarray:
        """Return the place of each arc that is nearest to one; a line's is not used."""
        arm, wanted = self._start - self._centre, at - self._centre
        turn = np.angle(wanted * arm.conjugate())
        turned = np.where(self._bulge > 0.0, turn, -turn) % math.tau
        length = np.abs(wanted)
        ahead = self._centre + np.abs(arm) * wanted / np.where(length, length, 1.0)
        nearer = np.abs(self._start - at) < np.abs(self._end - at)
        end = np.where(nearer, self._start, self._end)
        is_within = (turned <= 4.0 * np.arctan(np.abs(self._bulge))) & (length > 0.0)
        return np.where(is_within, ahead, end)
