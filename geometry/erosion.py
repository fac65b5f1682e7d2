"""The region for a tool's axis such that its head stays inside an opening and off keep-outs.

A head is a convex shape around the axis; its reach to each side is the margin there. The region is
the opening eroded by the head. A keep-out grows by the head rotated by half a turn: the axis stays
as far to its left as the head reaches to the right.

Source:
    Erosion and dilation by a convex body (J. Serra, Image Analysis and Mathematical Morphology,
    1982): of a convex opening the common part of its half planes, each moved in by the body's
    support function; of any other opening, what the Minkowski sum of its boundary and the rotated
    body leaves.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.measure import flattened
from geometry.model.cutter import Margins
from geometry.model.outline import Outline

Coordinates: TypeAlias = NDArray[np.float64]
#: ``round``: quarter ellipses between the four reaches; ``rectangle``: their box.
Head: TypeAlias = Literal["round", "rectangle"]

#: Maximum deviation of chords inside an opening's arcs, and of the polygon around a head, mm. Both
#: make the result smaller, together by less than 0.01 mm.
_INSIDE: Final = 0.004
_OUTSIDE: Final = 0.004
#: Vertices closer than this, mm, are equal.
_SAME: Final = 1.0e-7
#: Rounding in the turn of a convex ring's corner, mm2 of its two edges' product.
_STRAIGHT: Final = 1.0e-9


def disc(radius: float) -> Margins:
    """Return the reach of a round head with the same reach to all sides, mm."""
    return Margins(radius, radius, radius, radius)


@lru_cache(maxsize=256)
def eroded(opening: Outline, reach: Margins, head: Head = "round") -> tuple[Outline, ...]:
    """Return the region for the axis, largest part first; empty when the head is too large.

    Shape:
        ``opening`` counter-clockwise, its arcs bulging outwards. Polygons, counter-clockwise.

    Tolerance:
        Smaller than the exact region by at most 0.01 mm, never larger.

    Raises:
        ValueError: when an arc of the opening bulges inwards.
    """
    if any(vertex.bulge < 0.0 for vertex in opening.vertices):
        raise ValueError("The arcs of an opening bulge outwards.")
    if not any((reach.left, reach.right, reach.top, reach.bottom)):
        return (opening,)
    ring = np.array(flattened(opening, _INSIDE))
    if _is_convex(ring):
        return _parts(polygons.Polygon(_half_planes(ring, reach, head)))
    return _parts(polygons.Polygon(ring).difference(_swept(ring, reach, head)))


@lru_cache(maxsize=256)
def grown(keep_out: Outline, reach: Margins, head: Head = "round") -> Outline:
    """Return the region that the axis must avoid to keep the head off a keep-out.

    Shape:
        ``keep_out`` without arcs that bulge outwards. A polygon; what it encloses belongs to it.

    Tolerance:
        Larger than the exact region by at most 0.01 mm, never smaller.
    """
    if not any((reach.left, reach.right, reach.top, reach.bottom)):
        return keep_out
    ring = np.array(flattened(keep_out, _INSIDE))
    slack = _INSIDE if keep_out.has_arcs else 0.0
    wide = Margins(*(side + slack for side in (reach.left, reach.right, reach.top, reach.bottom)))
    whole = polygons.union(polygons.Polygon(ring), _swept(ring, wide, head))
    return _parts(whole)[0]


def _is_convex(ring: Coordinates) -> bool:
    edges = np.roll(ring, -1, axis=0) - ring
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    return bool((turns >= -_STRAIGHT).all())


def _half_planes(ring: Coordinates, reach: Margins, head: Head) -> Coordinates:
    """Return the common part of a convex ring's half planes, each moved in by the head."""
    edges = np.roll(ring, -1, axis=0) - ring
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    limits = (normals * ring).sum(axis=1) - _support(normals, reach, head)
    (left, bottom), (right, top) = ring.min(axis=0), ring.max(axis=0)
    kept = np.array([(left, bottom), (right, bottom), (right, top), (left, top)])
    for normal, limit in zip(normals, limits, strict=True):
        kept = _cut(kept, normal, float(limit))
        if len(kept) < 3:  # noqa: PLR2004 - less than a triangle is nothing
            return np.zeros((0, 2))
    return kept


def _support(normals: Coordinates, reach: Margins, head: Head) -> Coordinates:
    """Return the head's reach in each direction, mm; directions are unit vectors."""
    across = np.abs(normals[:, 0]) * np.where(normals[:, 0] > 0.0, reach.right, reach.left)
    up = np.abs(normals[:, 1]) * np.where(normals[:, 1] > 0.0, reach.top, reach.bottom)
    far: Coordinates = np.hypot(across, up) if head == "round" else across + up
    return far


def _cut(ring: Coordinates, normal: Coordinates, limit: float) -> Coordinates:
    """Return a convex ring's part within a half plane (Sutherland and Hodgman, 1974)."""
    over = ring @ normal - limit
    outside = over > 0.0
    if not outside.any():
        return ring
    kept: list[Coordinates] = []
    for index in range(len(ring)):
        after = (index + 1) % len(ring)
        if not outside[index]:
            kept.append(ring[index])
        if outside[index] != outside[after]:
            share = over[index] / (over[index] - over[after])
            kept.append(ring[index] + share * (ring[after] - ring[index]))
    return np.array(kept) if kept else np.zeros((0, 2))


def _swept(ring: Coordinates, reach: Margins, head: Head) -> polygons.Geometry:
    """Return the sum of a ring's edges and the head rotated by half a turn."""
    body = -_body(reach, head)
    ends = np.roll(ring, -1, axis=0)
    points = np.concatenate([ring[:, None, :] + body, ends[:, None, :] + body], axis=1)
    return polygons.union_all(polygons.convex_hull(polygons.linestrings(points)))


def _body(reach: Margins, head: Head) -> Coordinates:
    """Return the corners of a polygon around the head, counter-clockwise from its right."""
    if head == "rectangle":
        return np.array(
            [
                (reach.right, reach.top),
                (-reach.left, reach.top),
                (-reach.left, -reach.bottom),
                (reach.right, -reach.bottom),
            ]
        )
    largest = max(reach.left, reach.right, reach.top, reach.bottom)
    # Tangents that touch a circle every 2 t meet at radius / cos t.
    count = math.ceil(math.pi / 4.0 / math.acos(largest / (largest + _OUTSIDE)))
    half = math.pi / 4.0 / count
    angles = half * (2.0 * np.arange(4 * count) + 1.0)
    x, y = np.cos(angles) / math.cos(half), np.sin(angles) / math.cos(half)
    return np.column_stack(
        [
            x * np.where(x > 0.0, reach.right, reach.left),
            y * np.where(y > 0.0, reach.top, reach.bottom),
        ]
    )


def _parts(region: polygons.Geometry) -> tuple[Outline, ...]:
    parts = [part for part in polygons.get_parts(region) if part.area > 0.0]
    return tuple(_outline(part) for part in sorted(parts, key=lambda part: -part.area))


def _outline(polygon: polygons.Polygon) -> Outline:
    ring = polygons.outer_ring(polygon)
    away = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T)
    return Outline.of(ring[away > _SAME].tolist())
