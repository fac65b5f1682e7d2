"""How few loads could do at the very best.

Source:
    Own derivation: pieces a gap apart still do not overlap when each is grown by half the gap,
    and then lie within the area grown by half the gap. A convex piece grows by at least half the
    gap times its perimeter.

    A rectangle filled with one kind of convex piece is a tile of the plane, so that its share
    covered is bounded by the densest packing there is: of circles pi / sqrt 12 (A. Thue 1910,
    L. Fejes Toth 1940), of regular pentagons (5 - sqrt 5) / 3 (T. Hales and W. Kusner, "Packings
    of regular pentagons in the plane", arXiv 1602.07220, 2016), of regular octagons
    (4 + 4 sqrt 2) / (5 + 4 sqrt 2), lattice packings being the densest of a body with a centre
    (L. Fejes Toth, "Some packing and covering theorems", Acta Sci. Math. Szeged 12, 1950).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from geometry import polygons
from geometry.layout.item import Item
from geometry.measure import area, corner_turns, perimeter
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline

#: Densest packings known for certain, by the number of corners of a regular polygon.
_DENSEST = {5: (5.0 - math.sqrt(5.0)) / 3.0, 8: (4.0 + math.sqrt(32.0)) / (5.0 + math.sqrt(32.0))}
_DENSEST_CIRCLES = math.pi / math.sqrt(12.0)
#: How far chords may stand off an outline whose inside is measured, mm.
_CHORD = 0.02
_SAME = 1e-6
_ROUNDING = 1e-9


@lru_cache(maxsize=512)
def grown_area(outline: Outline, gap: float) -> float:
    """Return what a piece takes up at least with its half of the gap about it, mm2."""
    hollow = any(vertex.bulge < 0.0 for vertex in outline.vertices) or any(
        turn < 0.0 for turn in corner_turns(outline)
    )
    if not hollow:
        return area(outline) + gap / 2.0 * perimeter(outline)
    # A hollow outline's band may overlap itself: what surely lies inside is grown and measured.
    inside = polygons.flattened_polygon(outline, _CHORD).buffer(-_CHORD)
    return max(area(outline), (1.0 - _SAME) * float(inside.buffer(gap / 2.0).area))


def room_area(room: WorkArea, gap: float) -> float:
    """Return the most that grown pieces can take up in the work area, mm2."""
    if room.is_rectangle:
        return (room.bounds.width + gap) * (room.bounds.height + gap)
    box = room.bounds
    # A band half a gap wide about any boundary, at most.
    around = area(room.boundary) + gap / 2.0 * perimeter(room.boundary) + math.pi * gap * gap / 4.0
    return min(around, (box.width + gap) * (box.height + gap))


@lru_cache(maxsize=512)
def share_of_plane(outline: Outline, gap: float) -> float:
    """Return the least area that each of many alike takes of a rectangle or the plane, mm2."""
    least = grown_area(outline, gap)
    if least < _share_of_disc(_widest_radius(outline) - _CHORD, gap):
        inside = polygons.flattened_polygon(outline, _CHORD).buffer(-_CHORD)
        if not inside.is_empty:
            # A piece takes no less room than the largest disc in it.
            disc = polygons.maximum_inscribed_circle(inside, tolerance=0.5)
            radius = float(polygons.distance(inside.boundary, polygons.Point(disc.coords[0])))
            least = max(least, _share_of_disc(radius, gap))
    corners = len(outline.vertices)
    radius = _regular_radius(outline)
    if radius and corners in _DENSEST:
        # The gap moves corners out by at least half its width: a larger polygon fits inside.
        grown = radius + gap / 2.0
        whole = corners / 2.0 * grown * grown * math.sin(math.tau / corners)
        least = max(least, whole / _DENSEST[corners])
    return least


def _share_of_disc(radius: float, gap: float) -> float:
    """Return the least area that each of many discs takes, mm2."""
    return math.pi * (radius + gap / 2.0) * (radius + gap / 2.0) / _DENSEST_CIRCLES


def _widest_radius(outline: Outline) -> float:
    """Return a radius, mm, that no disc in an outline exceeds.

    Of a convex polygon the area is at least half the perimeter times it: the triangles from the
    middle of the disc over all sides are as high or higher.
    """
    corners = corner_turns(outline)
    if outline.has_arcs or min(corners) < 0.0:
        return math.inf
    return 2.0 * area(outline) / perimeter(outline)


def _regular_radius(outline: Outline) -> float:
    """Return the radius about the corners of a regular polygon, mm; 0 for any other outline."""
    if outline.has_arcs:
        return 0.0
    points = np.array([(vertex.x, vertex.y) for vertex in outline.vertices])
    reach = np.hypot(*(points - points.mean(axis=0)).T)
    sides = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    even = max(float(np.ptp(reach)), float(np.ptp(sides))) <= _SAME * float(reach.max())
    return float(reach.min()) if even else 0.0


def most_on_one(item: Item, room: WorkArea, gap: float) -> int:
    """Return a number of outlines of one kind that no load can exceed."""
    whole = room_area(room, gap)
    most = math.floor(whole / grown_area(item.outline, gap) + _ROUNDING)
    if not room.is_rectangle:
        return most
    most = min(most, math.floor(whole / share_of_plane(item.outline, gap) + _ROUNDING))
    return min(most, _upright_rows(item, room, gap, most))


def _upright_rows(item: Item, room: WorkArea, gap: float, otherwise: int) -> int:
    """Return the columns times the rows of rectangles that may only stand upright.

    Rectangles that all lie one way go no better than in rows: a net of points as far apart as
    they are wide and high has a point in each.
    """
    turns = item.stated_turns_deg
    box = item.outline.bounds
    if (
        turns is None
        or any(turn % 90.0 for turn in turns)
        or abs(area(item.outline) - box.width * box.height) > _SAME * box.width * box.height
        or (abs(box.width - box.height) > _SAME and any(turn % 180.0 for turn in turns))
    ):
        return otherwise
    across = math.floor((room.bounds.width + gap) / (box.width + gap) + _SAME)
    up = math.floor((room.bounds.height + gap) / (box.height + gap) + _SAME)
    return across * up


def min_loads(items: Sequence[Item], room: WorkArea, gap: float) -> int:
    """Return a number of loads that no layout can go below."""
    whole = room_area(room, gap)
    taken = sum(grown_area(item.outline, gap) * item.quantity for item in items)
    least = max(1, math.ceil(taken / whole - _ROUNDING))
    # Of each kind alone more may be known than of the mixture.
    for item in items:
        most = most_on_one(item, room, gap)
        if most > 0:
            least = max(least, math.ceil(item.quantity / most))
    return least


def min_loads_on(items: Sequence[Item], rooms: Sequence[tuple[WorkArea, int]], gap: float) -> int:
    """Return a number of loads below which no layout can go on rooms of which there are so many.

    The rooms that hold most count first. More than there are is never returned.
    """
    grown = [grown_area(item.outline, gap) * item.quantity for item in items]
    areas = [(room_area(room, gap), count) for room, count in rooms]
    least = _fewest(sum(grown), areas)
    for item in items:
        most = [(float(most_on_one(item, room, gap)), count) for room, count in rooms]
        least = max(least, _fewest(item.quantity, most))
    return least


def _fewest(wanted: float, held: Sequence[tuple[float, int]]) -> int:
    """Return how many of such capacities, of which there are so many, it takes to hold a sum."""
    taken = 0
    for each, count in sorted(held, reverse=True):
        if each <= 0.0 or wanted <= each * _ROUNDING:
            break
        here = min(count, math.ceil(wanted / each - _ROUNDING))
        taken, wanted = taken + here, wanted - here * each
    return max(1, taken)


def min_length(items: Sequence[Item], room: WorkArea, gap: float) -> float:
    """Return a length of roll that no layout can go below, mm."""
    height = room.bounds.height + gap
    taken = sum(grown_area(item.outline, gap) * item.quantity for item in items)
    alone = (share_of_plane(item.outline, gap) * item.quantity for item in items)
    return max(0.0, max(taken, *alone) / height - gap)
