"""Finds room inside a piece for its label and its grain arrow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from geometry import polygons
from geometry.measure import centroid, flattened
from geometry.model.outline import Chain, Outline, Region
from geometry.model.points import Point
from geometry.model.segments import Bounds
from service.documents.pictures.letters import width_of

#: Tolerance of arcs' chords, mm; it affects only pictures.
_CHORD = 0.1
#: The centroid is used if its distance to the edge is at least this share of the largest.
_NEARLY = 0.8
#: Share of an arrow's line left free at the edges, and clearance round a hole, mm.
_FREE, _ROUND_HOLES = 0.12, 0.6


@lru_cache(maxsize=256)
def roomy_middle(outline: Outline) -> tuple[Point, float]:
    """Return a roomy point of an outline, and its distance to the edge, mm.

    Shape:
        The centroid; of hollow outlines the centre of the largest circle inside.
    """
    polygon = _polygon(outline)
    middle = centroid(outline)
    here = polygons.Point(middle)
    reach = float(polygons.distance(polygon.exterior, here)) if polygon.contains(here) else 0.0
    circle = polygons.maximum_inscribed_circle(polygon, tolerance=0.1)
    x, y = circle.coords[0]
    if reach >= _NEARLY * circle.length:
        return middle, reach
    return Point(float(x), float(y)), float(circle.length)


def label_size(outline: Outline, text: str, most: float) -> float:
    """Return the letter height at which a text fits inside an outline at any rotation, mm."""
    _, reach = roomy_middle(outline)
    # Half the diagonal of the text's box.
    return min(most, reach / math.hypot(width_of(text) / 2.0, 0.4))


def free_spot(
    outline: Outline,
    marks: Sequence[Outline | Chain],
    text: str,
    wanted: Point,
    most: float,
    *,
    lines: Sequence[Sequence[Point]] = (),
) -> tuple[Point, float] | None:
    """Return where a text stands clear of marks at any rotation, and its letter height, mm.

    Args:
        outline: the text stays inside it.
        marks: lines that it must not touch.
        text: the text.
        wanted: point to stay near.
        most: largest letter height; down to a third of it, smaller ones are tried.
        lines: further lines that it must not touch.

    Shape:
        ``None`` if no such height has room.
    """
    polygon = _polygon(outline)
    drawn = [*(_points(mark) for mark in marks), *lines]
    taken = polygons.union_all([polygons.LineString(line) for line in drawn])
    size = most
    while size > most / 3.0:
        # Half the diagonal of the ground that is drawn behind the text.
        reach = size * math.hypot(width_of(text) / 2.0 + 0.15, 0.55)
        room = polygon.buffer(-reach).difference(taken.buffer(reach))
        if not room.is_empty:
            spot = polygons.get_point(polygons.shortest_line(room, polygons.Point(wanted)), 0)
            return Point(float(spot.x), float(spot.y)), size
        size *= 0.85
    return None


def upright_spot(
    outline: Outline,
    marks: Sequence[Outline | Chain],
    text: str,
    wanted: Point,
    sizes: tuple[float, float],
    turns_deg: Sequence[float],
    *,
    lines: Sequence[Sequence[Point]] = (),
) -> tuple[tuple[Point, ...], float] | None:
    """Return where an upright text stands clear of marks on a piece that is laid at some turns.

    Args:
        outline: the text stays inside it.
        marks: lines that it must not touch.
        text: the text.
        wanted: point to stay near.
        sizes: the largest and the smallest letter height, mm.
        turns_deg: at which the piece is laid, counter-clockwise.
        lines: further lines that it must not touch.

    Shape:
        A point of the outline for each turn, and the letter height; ``None`` if even the smallest
        has no room at one of the turns.
    """
    edges = [*_points(outline), *_points(outline)[:1]]
    ways = [edges, *(_points(mark) for mark in marks), *(list(line) for line in lines)]
    size, least = sizes
    while size >= least:
        spots = [_upright_at(outline, ways, text, wanted, size, turn) for turn in turns_deg]
        found = tuple(spot for spot in spots if spot is not None)
        if len(found) == len(spots):
            return found, size
        size *= 0.8
    return None


def _upright_at(
    outline: Outline,
    ways: Sequence[Sequence[Point]],
    text: str,
    wanted: Point,
    size: float,
    turn_deg: float,
) -> Point | None:
    """Return where the box of a text has room: what is nearer to a line than that is taken out."""
    wide, high = size * (width_of(text) / 2.0 + 0.15), size * 0.55
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    # The box is upright on the bed, so it is turned the other way on the piece.
    corners = [
        (x * cos + y * sin, y * cos - x * sin)
        for x, y in ((-wide, -high), (wide, -high), (wide, high), (-wide, high))
    ]
    taken = [
        polygons.MultiPoint([(p.x + x, p.y + y) for p in ends for x, y in corners]).convex_hull
        for way in ways
        for ends in pairwise(way)
    ]
    room = _polygon(outline).difference(polygons.union_all(taken))
    if room.is_empty:
        return None
    spot = polygons.get_point(polygons.shortest_line(room, polygons.Point(wanted)), 0)
    return Point(float(spot.x), float(spot.y))


def _points(mark: Outline | Chain) -> list[Point]:
    points = [Point(*each) for each in flattened(mark, _CHORD)]
    return [*points, points[0]] if isinstance(mark, Outline) else points


def grain_arrow(region: Region, template: Outline, *, one_way: bool) -> list[list[Point]]:
    """Return the lines of an arrow along a piece's own y axis, clear of holes and its label.

    Args:
        region: the region that is cut, with its holes and marks.
        template: outline that bounds the arrow.
        one_way: whether the arrow has a head at the top alone, or else at both ends.
    """
    middle, _ = roomy_middle(template)
    parts = along_grain(region, template, middle)
    if not parts:
        return []
    low, high = min(each[0].y for each in parts), max(each[1].y for each in parts)
    tip, x = 0.08 * (high - low), middle.x
    ends = [(high, -tip)] if one_way else [(high, -tip), (low, tip)]
    heads = [
        [Point(x - tip, end + back), Point(x, end), Point(x + tip, end + back)]
        for end, back in ends
    ]
    return [*(list(part) for part in parts), *heads]


def along_grain(region: Region, outline: Outline, at: Point) -> list[tuple[Point, Point]]:
    """Return the parts of the vertical line through a point that lie inside, clear of holes.

    It is broken where the piece's written label stands, so that the label can be read.

    Args:
        region: the region that is cut, with its holes.
        outline: outline that bounds the line.
        at: point on the line.
    """
    box = outline.bounds
    line = polygons.LineString([(at.x, box.bottom - 1.0), (at.x, box.top + 1.0)])
    parts = polygons.get_parts(_polygon(outline).intersection(line))
    here = polygons.Point(at)
    reach = max(parts, key=lambda part: (-part.distance(here), part.length))
    low, high = reach.bounds[1], reach.bounds[3]
    spare = _FREE * (high - low)
    kept: polygons.BaseGeometry = polygons.LineString([(at.x, low + spare), (at.x, high - spare)])
    for hole in region.holes:
        kept = kept.difference(_polygon(hole).buffer(_ROUND_HOLES))
    letters = [mark.path.bounds for mark in region.marks if mark.role == "label"]
    if letters:
        kept = kept.difference(polygons.box(*Bounds.around(letters)).buffer(_ROUND_HOLES))
    return [
        (Point(at.x, part.bounds[1]), Point(at.x, part.bounds[3]))
        for part in polygons.get_parts(kept)
        if part.length > 0.0
    ]


def _polygon(outline: Outline) -> polygons.Polygon:
    return polygons.flattened_polygon(outline, _CHORD)
