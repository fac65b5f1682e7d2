"""Squares, rectangles, circles and triangles to lay out: sizes in mm, a name and how many."""

from __future__ import annotations

from geometry.layout import Item
from geometry.shapes.catalogue import build


def square(name: str, side: float, count: int) -> Item:
    return Item(name, build("square", {"side": side}), count)


def circle(name: str, diameter: float, count: int) -> Item:
    return Item(name, build("circle", {"diameter": diameter}), count)


def triangle(name: str, side: float, count: int) -> Item:
    return Item(name, build("triangle", {"side": side}), count)


def rectangle(name: str, width: float, height: float, count: int) -> Item:
    return Item(name, build("rectangle", {"width": width, "height": height}), count)
