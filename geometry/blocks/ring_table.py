"""Many rings of lines and arcs as arrays: their areas, lengths and middles at once.

The closed forms are those of :mod:`geometry.measure`; a test compares both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import chain

import numpy as np

from geometry.model.outline import Outline, Vertex
from geometry.segment_pairs import Indices, Numbers

#: Below this sweep and half sweep, rad, a series is as exact as the closed form: see
#: :mod:`geometry.measure`.
_SERIES_BELOW = 0.05
#: Makes vertices of rows, with no call of Python's for each.
_vertex_of_row = partial(tuple.__new__, Vertex)


@dataclass(frozen=True)
class RingTable:
    """Rings, one after the other.

    Args:
        rows: x, y and bulge of each vertex, of shape (vertices, 3).
        counts: the number of vertices of each ring, one or more.
    """

    rows: Numbers
    counts: Indices

    @classmethod
    def of(cls, outlines: Sequence[Outline]) -> RingTable:
        """Return the table of outlines."""
        vertices = chain.from_iterable(outline.vertices for outline in outlines)
        counts = np.array([len(outline.vertices) for outline in outlines], dtype=np.intp)
        values = np.fromiter(chain.from_iterable(vertices), float, 3 * int(counts.sum()))
        return cls(values.reshape(-1, 3), counts)

    @cached_property
    def begins(self) -> Indices:
        """Return the row of each ring's first vertex."""
        return np.asarray(np.cumsum(self.counts) - self.counts)

    @cached_property
    def owner(self) -> Indices:
        """Return the number of each row's ring."""
        return np.repeat(np.arange(len(self.counts)), self.counts)

    @cached_property
    def following(self) -> Indices:
        """Return the row of the next vertex of the same ring, for each row."""
        found = np.arange(1, len(self.rows) + 1)
        found[self.begins + self.counts - 1] = self.begins
        return found

    @cached_property
    def _chords(self) -> Numbers:
        return np.asarray(self.rows[self.following, :2] - self.rows[:, :2])

    @cached_property
    def side_lengths(self) -> Numbers:
        """Return the length of the line or arc from each vertex, mm."""
        lengths = np.hypot(*self._chords.T)
        arcs = self._arcs
        if len(arcs):
            half = 2.0 * np.arctan(np.abs(self.rows[arcs, 2]))
            lengths[arcs] *= half / np.sin(half)
        return np.asarray(lengths)

    @cached_property
    def bows(self) -> Numbers:
        """Return how far each arc bows out of its chord, mm, to its right positive."""
        return np.asarray(self.rows[:, 2] * np.hypot(*self._chords.T) / 2.0)

    @cached_property
    def _arcs(self) -> Indices:
        return np.flatnonzero(self.rows[:, 2])

    @cached_property
    def _slivers(self) -> Numbers:
        """Return the signed areas between arcs and their chords, mm2."""
        bulges = self.rows[self._arcs, 2]
        sweep = 4.0 * np.arctan(np.abs(bulges))
        series = sweep**3 / 6.0 * (1.0 - sweep**2 / 20.0 * (1.0 - sweep**2 / 42.0))
        excess = np.where(sweep < _SERIES_BELOW, series, sweep - np.sin(sweep))
        chords = np.hypot(*self._chords[self._arcs].T)
        return np.asarray(
            np.copysign(chords**2 / (8.0 * np.sin(sweep / 2.0) ** 2) * excess, bulges)
        )

    @cached_property
    def _triangles(self) -> tuple[Numbers, Numbers]:
        """Return the signed areas of the triangles of chords with their ring's first vertex.

        Also the sums of each chord's ends, from that vertex.
        """
        first = self.rows[self.begins[self.owner], :2]
        start = self.rows[:, :2] - first
        end = self.rows[self.following, :2] - first
        return (start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]) / 2.0, start + end

    @cached_property
    def areas(self) -> Numbers:
        """Return the signed area of each ring, mm2, positive if it runs counter-clockwise."""
        parts = self._triangles[0].copy()
        parts[self._arcs] += self._slivers
        return np.add.reduceat(parts, self.begins) if len(parts) else np.empty(0)

    @cached_property
    def lengths(self) -> Numbers:
        """Return the length round each ring, mm."""
        lengths = self.side_lengths
        return np.add.reduceat(lengths, self.begins) if len(lengths) else np.empty(0)

    @cached_property
    def centroids(self) -> Numbers:
        """Return the centre of area of each ring, one row each; the areas are not zero."""
        weights, sums = self._triangles
        moments = weights[:, None] * sums / 3.0
        if len(self._arcs):
            moments[self._arcs] += self._slivers[:, None] * self._sliver_places
        found = np.add.reduceat(moments, self.begins, axis=0) / self.areas[:, None]
        return np.asarray(found + self.rows[self.begins, :2])

    @cached_property
    def _sliver_places(self) -> Numbers:
        """Return the centroids of the areas between arcs and chords, from the ring's first vertex.

        Source:
            4 r sin^3(h) / (3 (2 h - sin 2 h)) from the centre, h half the sweep.
        """
        arcs = self._arcs
        bulges, chord = self.rows[arcs, 2], self._chords[arcs]
        aside = np.stack([chord[:, 1], -chord[:, 0]], axis=1)
        middle_of_chord = self.rows[arcs, :2] + chord / 2.0
        middle = middle_of_chord + aside * (bulges / 2.0)[:, None]
        centre = middle_of_chord - aside * ((1.0 - bulges**2) / (4.0 * bulges))[:, None]
        half = 2.0 * np.arctan(np.abs(bulges))
        with np.errstate(invalid="ignore", divide="ignore"):
            closed = 4.0 * np.sin(half) ** 3 / (3.0 * (2.0 * half - np.sin(2.0 * half)))
        share = np.where(half < _SERIES_BELOW / 2.0, 1.0 - 0.3 * half**2, closed)
        first = self.rows[self.begins[self.owner[arcs]], :2]
        return np.asarray(centre + (middle - centre) * share[:, None] - first)

    def outlines(self) -> list[Outline]:
        """Return the rings as outlines."""
        vertices = list(map(_vertex_of_row, self.rows.tolist()))
        return [Outline(tuple(vertices[begin:end])) for begin, end in self.spans()]

    def spans(self) -> Iterator[tuple[int, int]]:
        """Yield the first row of each ring and the row after its last."""
        ends = np.cumsum(self.counts)
        return zip((ends - self.counts).tolist(), ends.tolist(), strict=True)

    def boxes(self) -> Numbers:
        """Return left, bottom, right and top of each ring's vertices; arcs may reach farther."""
        places = self.rows[:, :2]
        low = np.minimum.reduceat(places, self.begins, axis=0)
        return np.concatenate([low, np.maximum.reduceat(places, self.begins, axis=0)], axis=1)

    @cached_property
    def have_arcs(self) -> Sequence[bool]:
        """Return for each ring whether it has an arc."""
        found = np.zeros(len(self.counts), dtype=bool)
        found[self.owner[self._arcs]] = True
        return found.tolist()
