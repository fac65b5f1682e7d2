"""Finds common edges of neighbours, and keeps each once."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry import polygons
from geometry.intersect import close_pairs, meet, share_on_arc, share_on_line
from geometry.model.plan import Stroke
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Segment, segment

#: Ends of edges closer than this, mm, are one corner: rounding in layouts is far below it, and so
#: is the resolution of cutters.
SAME_CORNER = 1.0e-5


@dataclass(frozen=True)
class SharedEdge:
    """A line or arc between two corners, and the numbers of the strokes that contain it."""

    part: Segment
    ends: tuple[int, int]
    owners: tuple[int, ...]


def shared_edges(strokes: Sequence[Stroke]) -> list[SharedEdge]:
    """Return every stretch of the strokes once, in order of first appearance.

    Shape:
        Edges are split at corners of other strokes on them, so that overlapping edges are equal,
        and at crossings, so that a stroke can continue along either.
    """
    corners = _Corners()
    cut = [(number, part) for number, each in enumerate(strokes) for part in each.segments]
    for _, part in cut:
        corners.number(part.start)
        corners.number(part.end)
    for place in _crossings(cut):
        corners.number(place)
    found: dict[tuple[int, int, int, int], tuple[Segment, tuple[int, int], list[int]]] = {}
    at = polygons.STRtree([polygons.Point(place) for place in corners.places])
    for owner, part in cut:
        for piece in _parted(part, at, corners):
            ends = (corners.number(piece.start), corners.number(piece.end))
            middle = piece.point_at(0.5)
            key = (min(ends), max(ends), *_grid(middle))
            for near in _beside(key):
                if near in found:
                    found[near][2].append(owner)
                    break
            else:
                exact = segment(corners.places[ends[0]], corners.places[ends[1]], piece.bulge)
                found[key] = (exact, ends, [owner])
    return [SharedEdge(part, ends, tuple(owners)) for part, ends, owners in found.values()]


def _crossings(cut: Sequence[tuple[int, Segment]]) -> Iterator[Point]:
    """Yield the crossings of edges of different strokes, as at mitred corners."""
    for a, b in close_pairs([part for _, part in cut], 0.0):
        (one, first), (other, second) = cut[a], cut[b]
        if one == other:
            continue
        for at_first, at_second, place in meet(first, second).crossings:
            if 0.0 < at_first < 1.0 and 0.0 < at_second < 1.0:
                yield place


def _parted(part: Segment, at: polygons.STRtree, corners: _Corners) -> list[Segment]:
    """Split an edge at every corner on it."""
    box = part.bounds()
    slack = SAME_CORNER
    area = polygons.box(box.left - slack, box.bottom - slack, box.right + slack, box.top + slack)
    shares = {0.0, 1.0}
    for index in sorted(int(i) for i in at.query(area)):
        place = corners.places[index]
        share = share_on_arc(part, place) if isinstance(part, Arc) else share_on_line(part, place)
        if share is None or not slack < share * part.length < part.length - slack:
            continue
        if distance(part.point_at(share), place) <= slack:
            shares.add(share)
    ordered = sorted(shares)
    return [part.between(a, b) for a, b in itertools.pairwise(ordered)]


class _Corners:
    """Numbers of points; equal for points that differ only by rounding."""

    def __init__(self) -> None:
        self.places: list[Point] = []
        self._cells: dict[tuple[int, int], int] = {}

    def number(self, place: Point) -> int:
        x, y = _grid(place)
        for dx in (0, -1, 1):
            for dy in (0, -1, 1):
                if (x + dx, y + dy) in self._cells:
                    return self._cells[x + dx, y + dy]
        self.places.append(place)
        self._cells[x, y] = len(self.places) - 1
        return len(self.places) - 1


def _grid(place: Point) -> tuple[int, int]:
    return round(place.x / SAME_CORNER), round(place.y / SAME_CORNER)


def _beside(key: tuple[int, int, int, int]) -> list[tuple[int, int, int, int]]:
    a, b, x, y = key
    return [(a, b, x + dx, y + dy) for dx in (0, -1, 1) for dy in (0, -1, 1)]
