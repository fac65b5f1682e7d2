"""The shapes of SVG as subpaths of lines, arcs and curves, in user units."""

from __future__ import annotations

import math
from collections.abc import Iterator
from xml.etree.ElementTree import Element

from geometry.shapes.paths import Subpath, subpaths
from service.drawings.drawing import DrawingError
from service.drawings.svg.values import numbers, user_units

DRAWN = {"path", "polygon", "polyline", "line", "rect", "circle", "ellipse"}


class Shapes:
    """Reads shapes on a page of this size in user units, which percentages refer to."""

    def __init__(self, width: float | None, height: float | None) -> None:
        both = None
        if width is not None and height is not None:
            # SVG 1.1, 7.10: lengths that are neither horizontal nor vertical.
            both = math.hypot(width, height) / math.sqrt(2.0)
        self._whole = {
            **dict.fromkeys(("x", "x1", "x2", "cx", "width", "rx"), width),
            **dict.fromkeys(("y", "y1", "y2", "cy", "height", "ry"), height),
            "r": both,
        }

    def number(self, element: Element, key: str) -> float:
        """Return a length of an element in user units, 0 if it has none."""
        text = element.get(key)
        if text is None or text.strip() == "auto":
            return 0.0
        return user_units(text, key, self._whole[key])

    def runs(self, name: str, element: Element) -> list[Subpath]:
        """Return the subpaths of an element.

        Raises:
            DrawingError: for numbers that cannot be read.
        """
        if name == "path":
            text = element.get("d") or ""
            return [] if text.strip() == "none" else subpaths(text)
        if name in {"polygon", "polyline"}:
            found = numbers(element.get("points") or "", "The list of points")
            if len(found) % 2:
                raise DrawingError("The list of points has an x without a y.")
            points = [complex(*found[k : k + 2]) for k in range(0, len(found), 2)]
            return [_lines(points, closed=name == "polygon")] if len(points) > 1 else []
        if name == "line":
            ends = [
                complex(self.number(element, x), self.number(element, y))
                for x, y in (("x1", "y1"), ("x2", "y2"))
            ]
            return [_lines(ends, closed=False)]
        return list(self._rect(element) if name == "rect" else self._round(name, element))

    def _size(self, element: Element, key: str) -> float:
        value = self.number(element, key)
        if value < 0.0:
            raise DrawingError(f"{key} is {value:g}; it cannot be below zero.")
        return value

    def _radii(self, element: Element) -> tuple[float, float]:
        """Return rx and ry; if only one is stated, it counts for both."""
        stated = [key for key in ("rx", "ry") if (element.get(key) or "auto").strip() != "auto"]
        if not stated:
            return 0.0, 0.0
        return self._size(element, stated[0]), self._size(element, stated[-1])

    def _rect(self, element: Element) -> Iterator[Subpath]:
        x, y = self.number(element, "x"), self.number(element, "y")
        w, h = self._size(element, "width"), self._size(element, "height")
        rx, ry = self._radii(element)
        if w > 0.0 and h > 0.0 and rx > 0.0 and ry > 0.0:
            yield _rounded(x, y, w, h, (rx, ry))
        elif w > 0.0 and h > 0.0:
            corners = [complex(x, y), complex(x + w, y), complex(x + w, y + h), complex(x, y + h)]
            yield _lines(corners, closed=True)

    def _round(self, name: str, element: Element) -> Iterator[Subpath]:
        rx, ry = (self._size(element, "r"),) * 2 if name == "circle" else self._radii(element)
        if rx > 0.0 and ry > 0.0:
            centre = complex(self.number(element, "cx"), self.number(element, "cy"))
            half = complex(rx, ry), complex(0.0, 0.0), complex(0.0, 1.0)
            east, west = centre + rx, centre - rx
            yield Subpath(east, [("A", (*half, west)), ("A", (*half, east))], closed=True)


def _lines(points: list[complex], *, closed: bool) -> Subpath:
    return Subpath(points[0], [("L", (point,)) for point in points[1:]], closed)


def _rounded(x: float, y: float, w: float, h: float, corner: tuple[float, float]) -> Subpath:
    """Return a rectangle with round corners, in the direction of SVG 1.1, section 9.2."""
    rx, ry = min(corner[0], w / 2.0), min(corner[1], h / 2.0)
    steps: list[tuple[str, tuple[complex, ...]]] = []
    arc = complex(rx, ry), complex(0.0, 0.0), complex(0.0, 1.0)
    for side, end in (
        (complex(x + w - rx, y), complex(x + w, y + ry)),
        (complex(x + w, y + h - ry), complex(x + w - rx, y + h)),
        (complex(x + rx, y + h), complex(x, y + h - ry)),
        (complex(x, y + ry), complex(x + rx, y)),
    ):
        steps += [("L", (side,)), ("A", (*arc, end))]
    return Subpath(complex(x + rx, y), steps, closed=True)
