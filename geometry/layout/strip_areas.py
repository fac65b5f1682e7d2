"""Areas of the strips of a work area that reach from one of its sides so far in.

A search asks for thousands of strips of one work area: of a shape other than a box they are looked
up in a table, which is exact for the polygon that stands for the boundary.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from functools import cached_property, lru_cache

from geometry import polygons
from geometry.layout.fitting.holding_polygons import Coordinates
from geometry.layout.fitting.inner_fit import boundary_polygon
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.segments import Bounds


class StripAreas:
    """Areas of the strips along the four sides of a work area, mm2."""

    def __init__(self, room: WorkArea) -> None:
        self.box, self.is_box, self.whole = room.bounds, room.is_box, area(room.boundary)
        self._boundary = room.boundary

    def around(self, used: Bounds) -> tuple[float, float, float, float]:
        """Return the strips that hold a box: from the left, from below, from the right, from above.

        Units:
            mm and mm2.
        """
        box = self.box
        right, top = min(used.right, box.right), min(used.top, box.top)
        left, bottom = max(used.left, box.left), max(used.bottom, box.bottom)
        if self.is_box:
            width, height = box.width, box.height
            return (
                (right - box.left) * height,
                width * (top - box.bottom),
                (box.right - left) * height,
                width * (box.top - bottom),
            )
        across, up = self._across, self._up
        return (
            across.before(right),
            up.before(top),
            across.whole - across.before(left),
            up.whole - up.before(bottom),
        )

    def least_share(self, used: Bounds) -> float:
        """Return the share of the work area that the least strip that holds a box takes."""
        sizes = self.around(used)
        return sizes[least_of(sizes)] / self.whole

    @cached_property
    def _across(self) -> _Before:
        return _Before(polygons.outer_ring(boundary_polygon(self._boundary)))

    @cached_property
    def _up(self) -> _Before:
        return _Before(polygons.outer_ring(boundary_polygon(self._boundary))[:, ::-1])


class _Before:
    """The area of a simple polygon before any place along the first axis.

    Between the places of two corners that follow each other its width changes evenly.
    """

    def __init__(self, ring: Coordinates) -> None:
        corners: list[tuple[float, float]] = [(float(x), float(y)) for x, y in ring]
        edges = _edges(corners)
        self._places = sorted({x for x, _ in corners})
        self._widths: list[tuple[float, float]] = []
        self._areas = [0.0]
        active: list[_Edge] = []
        following = 0
        for start, end in zip(self._places, self._places[1:], strict=False):
            active = [edge for edge in active if edge[2] > start]
            while following < len(edges) and edges[following][0] <= start:
                active.append(edges[following])
                following += 1
            widths = abs(_width(active, start)), abs(_width(active, end))
            self._widths.append(widths)
            self._areas.append(self._areas[-1] + sum(widths) / 2.0 * (end - start))
        self.whole = self._areas[-1]

    def before(self, place: float) -> float:
        """Return the area before a place."""
        at = bisect_right(self._places, place) - 1
        if at < 0:
            return 0.0
        if at >= len(self._widths):
            return self.whole
        start, end = self._places[at], self._places[at + 1]
        first, last = self._widths[at]
        here = first + (last - first) * (place - start) / (end - start)
        return self._areas[at] + (first + here) / 2.0 * (place - start)


#: An edge from its first place and height along the axis to its last, 1 or -1 for its direction.
_Edge = tuple[float, float, float, float, float]


def _edges(corners: Sequence[tuple[float, float]]) -> list[_Edge]:
    """Return the edges that do not run straight across the axis, those that begin first first."""
    found: list[_Edge] = []
    for (x, y), (u, v) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if x < u:
            found.append((x, y, u, v, 1.0))
        elif u < x:
            found.append((u, v, x, y, -1.0))
    return sorted(found)


def _width(edges: Sequence[_Edge], place: float) -> float:
    """Return how wide a polygon is at a place that some of its edges reach, with a sign."""
    return sum(
        way * (low + (high - low) * ((place - start) / (end - start)))
        for start, low, end, high, way in edges
    )


@lru_cache(maxsize=64)
def strip_areas(room: WorkArea) -> StripAreas:
    """Return the areas of the strips of a work area."""
    return StripAreas(room)


def least_of(sizes: Sequence[float]) -> int:
    """Return which of some areas is the least, the first of those that are alike."""
    rounded = [round(size, 6) for size in sizes]
    return rounded.index(min(rounded))
