"""Stars and hexagons."""

from __future__ import annotations

import math

from geometry.blocks.gallery.shapes import (
    DARK,
    LIGHT,
    MEDIUM,
    GalleryBlock,
    GalleryPath,
    corners_of,
    halves,
    polar,
    quarters,
    ring,
    square,
)


def _friendship_star() -> list[GalleryPath]:
    found = [square(DARK, 2, 2, 2)]
    found += [square(LIGHT, x, y, 2) for x, y in corners_of(0, 0, 4)]
    for (x, y), corner in zip(((2, 0), (4, 2), (2, 4), (0, 2)), (2, 3, 0, 1), strict=True):
        found += halves(x, y, 2, corner)
    return found


def _ohio_star() -> list[GalleryPath]:
    found = [square(DARK, 2, 2, 2)]
    found += [square(LIGHT, x, y, 2) for x, y in corners_of(0, 0, 4)]
    for x, y in ((2, 0), (2, 4)):
        found += quarters(x, y, 2, (LIGHT, DARK, LIGHT, DARK))
    for x, y in ((4, 2), (0, 2)):
        found += quarters(x, y, 2, (DARK, LIGHT, DARK, LIGHT))
    return found


def _sawtooth_star() -> list[GalleryPath]:
    found = [square(MEDIUM, 1, 1, 2)]
    found += [square(LIGHT, x, y) for x, y in corners_of(0, 0, 3)]
    found += [
        ring(LIGHT, (1, 0), (3, 0), (2, 1)),
        ring(LIGHT, (4, 1), (4, 3), (3, 2)),
        ring(LIGHT, (3, 4), (1, 4), (2, 3)),
        ring(LIGHT, (0, 3), (0, 1), (1, 2)),
    ]
    points = (
        ((1, 0), (2, 1), (1, 1)), ((3, 0), (3, 1), (2, 1)), ((4, 1), (3, 2), (3, 1)),
        ((4, 3), (3, 3), (3, 2)), ((3, 4), (2, 3), (3, 3)), ((1, 4), (1, 3), (2, 3)),
        ((0, 3), (1, 2), (1, 3)), ((0, 1), (1, 1), (1, 2)),
    )  # fmt: skip
    return [*found, *(ring(DARK, *each) for each in points)]


def _eight_point_star() -> list[GalleryPath]:
    """Return eight diamonds of side 1 about the middle, with squares and triangles set in."""
    width = 2.0 + math.sqrt(2.0)
    middle = width / 2.0
    inner = [polar(1.0, 45.0 * at, middle, middle) for at in range(8)]
    far = 2.0 * math.cos(math.radians(22.5))
    tips = [polar(far, 45.0 * at + 22.5, middle, middle) for at in range(8)]
    corners = [(width, width), (0.0, width), (0.0, 0.0), (width, 0.0)]
    found = []
    for at in range(8):
        fabric = DARK if at % 2 == 0 else MEDIUM
        found.append(ring(fabric, (middle, middle), inner[at], tips[at], inner[(at + 1) % 8]))
        if at % 2 == 0:
            found.append(ring(LIGHT, inner[at], tips[at - 1], tips[at]))
        else:
            found.append(ring(LIGHT, inner[at], tips[at - 1], corners[at // 2], tips[at]))
    return found


def _flower() -> list[GalleryPath]:
    """Return seven hexagons of side 1."""
    found = []
    x, y = 1.5 * math.sqrt(3.0), 2.5
    middles = [(x, y), *(polar(math.sqrt(3.0), 60.0 * at, x, y) for at in range(6))]
    for number, (left, low) in enumerate(middles):
        corners = [polar(1.0, 60.0 * at + 30.0, left, low) for at in range(6)]
        found.append(ring(MEDIUM if number == 0 else DARK, *corners))
    return found


def _tumbling_block() -> list[GalleryPath]:
    """Return three diamonds of side 2 that make a hexagon."""
    x, y = math.sqrt(3.0), 2.0
    corners = [polar(2.0, 60.0 * at + 30.0, x, y) for at in range(6)]
    return [
        ring(fabric, (x, y), corners[at], corners[at + 1], corners[(at + 2) % 6])
        for fabric, at in ((LIGHT, 0), (DARK, 2), (MEDIUM, 4))
    ]


STARS = (
    GalleryBlock("friendship-star", "friendship star", 6, tuple(_friendship_star())),
    GalleryBlock("ohio-star", "Ohio star", 6, tuple(_ohio_star())),
    GalleryBlock("sawtooth-star", "sawtooth star", 4, tuple(_sawtooth_star())),
    GalleryBlock(
        "eight-point-star", "eight-point star", 2.0 + math.sqrt(2.0), tuple(_eight_point_star())
    ),
    GalleryBlock("hexagon-flower", "hexagon flower", 3.0 * math.sqrt(3.0), tuple(_flower())),
    GalleryBlock(
        "tumbling-block", "tumbling block", 2.0 * math.sqrt(3.0), tuple(_tumbling_block())
    ),
)
