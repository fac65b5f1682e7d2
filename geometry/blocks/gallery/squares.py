"""Blocks of squares and rectangles: four and nine patches, rails, log cabins."""

from __future__ import annotations

from geometry.blocks.gallery.shapes import (
    DARK,
    LIGHT,
    MEDIUM,
    GalleryBlock,
    GalleryPath,
    cells,
    checks,
    rectangle,
    square,
)


def _rails() -> list[GalleryPath]:
    fabrics = (DARK, MEDIUM, LIGHT)
    found = []
    for x, y, is_even in cells(2, 3.0):
        for number, fabric in enumerate(fabrics):
            found.append(
                rectangle(fabric, x, y + number, 3, 1)
                if is_even
                else rectangle(fabric, x + number, y, 1, 3)
            )
    return found


def _log_cabin() -> list[GalleryPath]:
    found = [square(MEDIUM, 3, 3)]
    for number in range(3):
        low, high = 3.0 - number, 4.0 + number
        side = high - low
        found += [
            rectangle(LIGHT, high, low, 1, side),
            rectangle(LIGHT, low, high, side + 1, 1),
            rectangle(DARK, low - 1, low, 1, side + 1),
            rectangle(DARK, low - 1, low - 1, side + 2, 1),
        ]
    return found


def _courthouse_steps() -> list[GalleryPath]:
    found = [square(MEDIUM, 3, 3)]
    for number in range(3):
        low, high = 3.0 - number, 4.0 + number
        side = high - low
        found += [
            rectangle(LIGHT, low - 1, low, 1, side),
            rectangle(LIGHT, high, low, 1, side),
            rectangle(DARK, low - 1, high, side + 2, 1),
            rectangle(DARK, low - 1, low - 1, side + 2, 1),
        ]
    return found


def _double_nine_patch() -> list[GalleryPath]:
    found = []
    for x, y, is_even in cells(3, 3.0):
        if is_even:
            found += checks(x, y, 1, ["#.#", ".#.", "#.#"])
        else:
            found.append(square(LIGHT, x, y, 3))
    return found


SQUARES = (
    GalleryBlock("four-patch", "four patch", 2, tuple(checks(0, 0, 1, ["#.", ".#"]))),
    GalleryBlock("nine-patch", "nine patch", 3, tuple(checks(0, 0, 1, ["#.#", ".#.", "#.#"]))),
    GalleryBlock("rail-fence", "rail fence", 6, tuple(_rails())),
    GalleryBlock("log-cabin", "log cabin", 7, tuple(_log_cabin())),
    GalleryBlock("courthouse-steps", "courthouse steps", 7, tuple(_courthouse_steps())),
    GalleryBlock("double-nine-patch", "double nine patch", 9, tuple(_double_nine_patch())),
)
