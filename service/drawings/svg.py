"""SVG drawings, read by an allow-list of elements; other drawing elements are rejected.

Source:
    W3C, "Scalable Vector Graphics (SVG) 1.1 (Second Edition)", 2011; CSS pixels are 1/96 in.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from xml.etree.ElementTree import Element, ParseError

import defusedxml.ElementTree as SafeTree
from defusedxml import DefusedXmlException

from geometry.errors import GeometryError
from geometry.shapes.paths import MAX_SEGMENTS, Matrix, Subpath, subpaths, vertices_of
from geometry.units import UNIT_MM
from service.drawings.drawing import (
    MAX_BYTES,
    MAX_ELEMENTS,
    UNITS_MM,
    Drawing,
    DrawingError,
    Path,
    counted,
    joined,
)

_SVG = "{http://www.w3.org/2000/svg}"
_DEEPEST = 32
_DRAWN = {"path", "polygon", "polyline", "line", "rect", "circle", "ellipse"}
#: Not geometry: skipped and listed, with their children.
_SKIPPED = {"text", "image", "metadata", "title", "desc", "style", "script"}
#: Never drawn in place.
_PASSED = {"defs", "symbol", "clipPath", "mask", "marker", "pattern", "linearGradient"}
_PASSED |= {"radialGradient", "filter"}
_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")
_LENGTH_MM = {**UNIT_MM, "pt": 25.4 / 72.0, "pc": 25.4 / 6.0, "px": 25.4 / 96.0}
_LENGTH = re.compile(
    r"\s*([-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,2})?)\s*([a-z]*|%)\s*"
)
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]{0,300})\)")
_NUMBERS = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,2})?")


def read_svg(data: bytes, *, units: str | None, tolerance: float) -> Drawing:
    """Return an SVG drawing's paths.

    Args:
        data: the file.
        units: units of its user units when the drawing states no size.
        tolerance: chord tolerance of curves, mm.

    Raises:
        DrawingError: when it cannot be read, is too large, or uses elements that are not allowed.
    """
    if len(data) > MAX_BYTES:
        raise DrawingError(f"A drawing has at most {MAX_BYTES} bytes.")
    try:
        root = SafeTree.fromstring(data, forbid_dtd=False)
    except DefusedXmlException:
        raise DrawingError("The file declares entities, which are not allowed.") from None
    except (ParseError, RecursionError, ValueError) as error:
        raise DrawingError(f"The XML cannot be read: {str(error)[:120]}") from None
    if root.tag != f"{_SVG}svg":
        raise DrawingError("The file's root is not an <svg> of the SVG name space.")
    reader = _Reader(tolerance, root)
    reader.walk(root, _page(root, units), "", 0)
    return Drawing("svg", joined(reader.paths), tuple(reader.notes), counted(reader.skipped))


def _page(root: Element, units: str | None) -> Matrix:
    """Return the matrix from user units, y down, to mm, y up from the page's lower left corner."""
    width, height = (_length(root, name) for name in ("width", "height"))
    box = [float(number) for number in _NUMBERS.findall(root.get("viewBox") or "")]
    if len(box) not in {0, 4} or (box and (box[2] <= 0.0 or box[3] <= 0.0)):
        raise DrawingError("The viewBox needs four numbers, width and height above zero.")
    if width is not None and height is not None:
        sx = width / box[2] if box else _LENGTH_MM["px"]
        sy = height / box[3] if box else _LENGTH_MM["px"]
        if not math.isclose(sx, sy, rel_tol=1e-3):
            raise DrawingError("Width, height and viewBox scale x and y differently.")
        left, top = (box[0], box[1]) if box else (0.0, 0.0)
        return (sx, 0.0, 0.0, -sx, -left * sx, height + top * sx)
    if units is None:
        raise DrawingError(
            "The drawing states no size with units (width and height in mm, cm, in or pt beside "
            'a viewBox). Add them, or state "units" for its user units: "px" where 96 are an inch.'
        )
    scale = UNITS_MM[units]
    return (scale, 0.0, 0.0, -scale, 0.0, 0.0)


def _length(root: Element, name: str) -> float | None:
    """Return a length with a unit in mm; ``None`` if it is missing, bare or in %."""
    text = root.get(name)
    if text is None or text.strip() in {"", "auto"}:
        return None
    found = _LENGTH.fullmatch(text)
    if found is None:
        raise DrawingError(
            f"<svg> {name}={text[:20]!r} is not a length; write a number and a unit, as in 40mm."
        )
    if found[2] not in _LENGTH_MM:
        return None
    value = float(found[1]) * _LENGTH_MM[found[2]]
    return value if math.isfinite(value) and value > 0.0 else None


def _style(element: Element, name: str) -> str:
    """Return a property of an element's own style, or else its attribute; empty if it has none."""
    for each in (element.get("style") or "").split(";"):
        key, _, value = each.partition(":")
        if key.strip() == name:
            return value.removesuffix("!important").strip()
    return (element.get(name) or "").strip()


class _Reader:
    """Walks the elements and multiplies their matrices."""

    def __init__(self, tolerance: float, root: Element) -> None:
        self.tolerance = tolerance
        self.paths: list[Path] = []
        self.notes: list[str] = []
        self.skipped: list[str] = []
        self._by_id = {each.get("id"): each for each in root.iter() if each.get("id")}
        self._kinds: Counter[str] = Counter()
        self._visibility = "visible"
        self._elements = 0
        self._segments = 0
        self._vertices = 0

    def walk(self, element: Element, matrix: Matrix, group: str, depth: int) -> None:
        """Read an element's children."""
        if depth > _DEEPEST:
            raise DrawingError(f"Groups are nested deeper than {_DEEPEST}.")
        for child in element:
            self._elements += 1
            if self._elements > MAX_ELEMENTS:
                raise DrawingError(f"A drawing has at most {MAX_ELEMENTS} elements.")
            if not isinstance(child.tag, str) or not child.tag.startswith(_SVG):
                continue
            name = child.tag.removeprefix(_SVG)
            self._kinds[name] += 1
            if name in _SKIPPED:
                self.skipped.append(name)
            elif name not in _PASSED and _style(child, "display") == "none":
                self.skipped.append(f"{name} (hidden)")
            elif name not in _PASSED:
                self._one(name, child, matrix, group, depth)

    def _one(self, name: str, element: Element, matrix: Matrix, group: str, depth: int) -> None:
        """Read one element; errors name its place."""
        before = self._visibility
        # Inherited, so that an element can be seen in a hidden group.
        self._visibility = _style(element, "visibility") or before
        self._shown(name, element, matrix, group, depth)
        self._visibility = before

    def _shown(self, name: str, element: Element, matrix: Matrix, group: str, depth: int) -> None:
        if name in _DRAWN and self._visibility in {"hidden", "collapse"}:
            self.skipped.append(f"{name} (hidden)")
            return
        try:
            own = _times(matrix, _transform(element.get("transform") or ""))
            if name in _DRAWN:
                self._drawn(name, element, own, group)
                return
        except DrawingError as error:
            raise DrawingError(f"{self._place(name, element)}: {error}") from None
        if name == "g":
            self.walk(element, own, element.get("id") or group, depth + 1)
        elif name == "use":
            self._used(element, own, group, depth)
        else:
            raise DrawingError(
                f"{self._place(name, element)} is not supported; draw with path, polygon, "
                "polyline, line, rect, circle, ellipse and copies of them."
            )

    def _place(self, name: str, element: Element) -> str:
        """Return a description of an element: its id, or its number among its kind."""
        called = element.get("id")
        return f'<{name} id="{called[:40]}">' if called else f"<{name}> number {self._kinds[name]}"

    def _used(self, element: Element, matrix: Matrix, group: str, depth: int) -> None:
        """Read a copy of another element of the same file."""
        place = self._place("use", element)
        if depth > _DEEPEST:
            raise DrawingError(f"{place} refers to itself or is nested deeper than {_DEEPEST}.")
        href = next((element.get(key) for key in _HREFS if element.get(key)), "") or ""
        other = self._by_id.get(href[1:]) if href.startswith("#") else None
        if other is None or not isinstance(other.tag, str) or not other.tag.startswith(_SVG):
            raise DrawingError(f"{place} refers to an element that is not in this file.")
        self._elements += 1
        if self._elements > MAX_ELEMENTS:
            raise DrawingError(f"A drawing has at most {MAX_ELEMENTS} elements.")
        x, y = (_plain_number(element, key, place) for key in ("x", "y"))
        moved = _times(matrix, (1.0, 0.0, 0.0, 1.0, x, y))
        self._one(other.tag.removeprefix(_SVG), other, moved, group, depth + 1)

    def _drawn(self, name: str, element: Element, matrix: Matrix, group: str) -> None:
        try:
            runs = [run for run in _runs(name, element) if run.steps]
            self._segments += sum(len(run.steps) for run in runs)
            if self._segments > MAX_SEGMENTS:
                raise DrawingError(f"A drawing has at most {MAX_SEGMENTS} segments.")
            for run in runs:
                vertices = vertices_of(run, matrix, tolerance=self.tolerance)
                if not all(math.isfinite(value) for vertex in vertices for value in vertex):
                    raise DrawingError("A coordinate is not a finite number.")
                self._vertices += len(vertices)
                if self._vertices > 2 * MAX_SEGMENTS:
                    raise DrawingError(
                        f"The drawing's curves need more than {2 * MAX_SEGMENTS} lines and arcs."
                    )
                self.paths.append(
                    Path(tuple(vertices), group, element.get("id") or "", closed=run.closed)
                )
        except GeometryError as error:
            raise DrawingError(error.message) from None


def _runs(name: str, element: Element) -> list[Subpath]:
    if name == "path":
        return subpaths(element.get("d") or "")
    if name in {"polygon", "polyline"}:
        numbers = [float(n) for n in _NUMBERS.findall(element.get("points") or "")]
        points = [complex(*numbers[k : k + 2]) for k in range(0, len(numbers) - 1, 2)]
        return [_lines(points, closed=name == "polygon")] if len(points) > 1 else []
    return list(_simple(name, element))


def _lines(points: list[complex], *, closed: bool) -> Subpath:
    return Subpath(points[0], [("L", (point,)) for point in points[1:]], closed)


def _plain_number(element: Element, key: str, place: str = "") -> float:
    text = element.get(key) or "0"
    found = _LENGTH.fullmatch(text)
    if found is None or found[2] not in {"", "px"}:
        raise DrawingError(f"{place} {key}={text[:20]!r} is not a plain number.".lstrip())
    return float(found[1])


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


def _simple(name: str, element: Element) -> Iterator[Subpath]:
    def number(key: str) -> float:
        return _plain_number(element, key)

    if name == "line":
        ends = [complex(number("x1"), number("y1")), complex(number("x2"), number("y2"))]
        yield _lines(ends, closed=False)
    elif name == "rect":
        x, y, w, h = (number(key) for key in ("x", "y", "width", "height"))
        # If only one radius is stated, it counts for both.
        rx, ry = (
            number(key if element.get(key) else other)
            for key, other in (("rx", "ry"), ("ry", "rx"))
        )
        if w > 0.0 and h > 0.0 and rx > 0.0 and ry > 0.0:
            yield _rounded(x, y, w, h, (rx, ry))
        elif w > 0.0 and h > 0.0:
            corners = [complex(x, y), complex(x + w, y), complex(x + w, y + h), complex(x, y + h)]
            yield _lines(corners, closed=True)
    else:
        rx, ry = (number("r"),) * 2 if name == "circle" else (number("rx"), number("ry"))
        if rx > 0.0 and ry > 0.0:
            centre = complex(number("cx"), number("cy"))
            half = complex(rx, ry), complex(0.0, 0.0), complex(0.0, 1.0)
            east, west = centre + rx, centre - rx
            yield Subpath(east, [("A", (*half, west)), ("A", (*half, east))], closed=True)


def _transform(text: str) -> Matrix:
    matrix: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    at = 0
    while at < len(text.rstrip()):
        found = _TRANSFORM.match(text, at)
        if found is None:
            raise DrawingError(f"A transform cannot be read: {text[at : at + 30]!r}.")
        matrix = _times(matrix, _one_transform(found[1], found[2]))
        at = found.end()
    return matrix


def _one_transform(name: str, inner: str) -> Matrix:
    numbers = [float(number) for number in _NUMBERS.findall(inner)]
    counts = {"matrix": {6}, "translate": {1, 2}, "scale": {1, 2}, "rotate": {1, 3}}
    if len(numbers) not in counts.get(name, {1}):
        raise DrawingError(f"The transform {name} has {len(numbers)} numbers.")
    if name == "matrix":
        a, b, c, d, e, f = numbers
        return (a, b, c, d, e, f)
    if name == "translate":
        return (1.0, 0.0, 0.0, 1.0, numbers[0], numbers[1] if len(numbers) > 1 else 0.0)
    if name == "scale":
        return (numbers[0], 0.0, 0.0, numbers[-1], 0.0, 0.0)
    if name == "rotate":
        cos, sin = math.cos(math.radians(numbers[0])), math.sin(math.radians(numbers[0]))
        turn: Matrix = (cos, sin, -sin, cos, 0.0, 0.0)
        if len(numbers) == 1:
            return turn
        x, y = numbers[1:]
        there: Matrix = (1.0, 0.0, 0.0, 1.0, x, y)
        return _times(_times(there, turn), (1.0, 0.0, 0.0, 1.0, -x, -y))
    lean = math.tan(math.radians(numbers[0]))
    return (1.0, 0.0, lean, 1.0, 0.0, 0.0) if name == "skewX" else (1.0, lean, 0.0, 1.0, 0.0, 0.0)


def _times(m: Matrix, n: Matrix) -> Matrix:
    return (
        m[0] * n[0] + m[2] * n[1],
        m[1] * n[0] + m[3] * n[1],
        m[0] * n[2] + m[2] * n[3],
        m[1] * n[2] + m[3] * n[3],
        m[0] * n[4] + m[2] * n[5] + m[4],
        m[1] * n[4] + m[3] * n[5] + m[5],
    )
