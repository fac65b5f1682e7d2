"""Blocks with arcs: quarter circles, petals, fans and compass points."""

from __future__ import annotations

from geometry.blocks.gallery.shapes import (
    DARK,
    LIGHT,
    MEDIUM,
    GalleryBlock,
    GalleryPath,
    bulge,
    corners_of,
    polar,
    ring,
)

_QUARTER = bulge(90)


def _path_unit(x: float, y: float, corner: int, dark: bool) -> list[GalleryPath]:  # noqa: FBT001 - its fabrics
    """Return a square of side 2 with a quarter circle of radius 1.5 about one corner."""
    corners = corners_of(x, y, 2)
    a, b, c, d = (corners[(corner + step) % 4] for step in range(4))
    along = (a[0] + 0.75 * (b[0] - a[0]), a[1] + 0.75 * (b[1] - a[1]))
    up = (a[0] + 0.75 * (d[0] - a[0]), a[1] + 0.75 * (d[1] - a[1]))
    one, two = (DARK, LIGHT) if dark else (LIGHT, DARK)
    return [
        ring(one, a, (*along, _QUARTER), up),
        ring(two, along, b, c, d, (*up, -_QUARTER)),
    ]


def _drunkards_path() -> list[GalleryPath]:
    found = []
    for number, (x, y) in enumerate(corners_of(0, 0, 2)):
        found += _path_unit(x, y, (number + 2) % 4, dark=number % 2 == 0)
    return found


def _orange_peel() -> list[GalleryPath]:
    """Return four squares of side 2, each with a petal of two quarter circles of radius 2."""
    found = []
    for number, (x, y) in enumerate(corners_of(0, 0, 2)):
        corners = corners_of(x, y, 2)
        start = number % 2
        a, b, c, d = (corners[(start + step) % 4] for step in range(4))
        found += [
            ring(DARK, (*a, _QUARTER), (*c, _QUARTER)),
            ring(LIGHT, a, b, (*c, -_QUARTER)),
            ring(LIGHT, c, d, (*a, -_QUARTER)),
        ]
    return found


def _fan() -> list[GalleryPath]:
    """Return a square of side 6 with a handle of radius 2 and four blades of radius 5."""
    sweep = 22.5
    found = [ring(MEDIUM, (0, 0), (2, 0, _QUARTER), (0, 2))]
    for blade in range(4):
        low, high = sweep * blade, sweep * (blade + 1)
        found.append(
            ring(
                DARK if blade % 2 == 0 else LIGHT,
                polar(2, low),
                (*polar(5, low), bulge(sweep)),
                polar(5, high),
                (*polar(2, high), -bulge(sweep)),
            )
        )
    corner = ring(LIGHT, (5, 0), (6, 0), (6, 6), (0, 6), (0, 5, -_QUARTER))
    return [*found, corner]


def _compass() -> list[GalleryPath]:
    """Return eight points of radius 5 in a square of side 12."""
    inner = [polar(2, 45 * at + 22.5, 6, 6) for at in range(8)]
    outer = [polar(5, 45 * at, 6, 6) for at in range(8)]
    found = []
    for at in range(8):
        following = (at + 1) % 8
        found += [
            ring(DARK if at % 2 == 0 else MEDIUM, (6, 6), inner[at - 1], outer[at], inner[at]),
            ring(LIGHT, inner[at], (*outer[at], bulge(45)), outer[following]),
        ]
    sides = [(12, 6), (6, 12), (0, 6), (6, 0)]
    corners = [(12, 12), (0, 12), (0, 0), (12, 0)]
    for at in range(4):
        ring_of = outer[2 * at], outer[(2 * at + 2) % 8]
        found.append(
            ring(
                LIGHT, ring_of[0], sides[at], corners[at], sides[(at + 1) % 4],
                (*ring_of[1], -_QUARTER),
            )
        )  # fmt: skip
    return found


CURVED = (
    GalleryBlock("drunkards-path", "drunkard's path", 4, tuple(_drunkards_path())),
    GalleryBlock("orange-peel", "orange peel", 4, tuple(_orange_peel())),
    GalleryBlock("fan", "fan", 6, tuple(_fan())),
    GalleryBlock("compass", "compass of eight points", 12, tuple(_compass())),
)
