"""The walk through an SVG's elements, by an allow-list; what else would draw is refused."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from xml.etree.ElementTree import Element, ParseError

import defusedxml.ElementTree as SafeTree
from defusedxml import DefusedXmlException

from geometry.errors import GeometryError
from geometry.shapes.paths import Matrix, vertices_of
from service.drawings.drawing import (
    MAX_BYTES,
    MAX_ELEMENTS,
    MAX_SEGMENTS,
    Drawing,
    DrawingError,
    Path,
    counted,
    joined,
)
from service.drawings.svg.page import SvgViewport, read_page, view_matrix
from service.drawings.svg.shapes import DRAWN, Shapes
from service.drawings.svg.styles import SVG, Styles
from service.drawings.svg.transforms import (
    IDENTITY,
    about,
    moved,
    parse_origin,
    parse_transform,
    times,
)
from service.drawings.svg.values import numbers

_DEEPEST = 32
#: Not geometry: skipped and listed, with their children.
_SKIPPED = {"text", "image", "metadata", "title", "desc", "script"}
#: Never drawn in place.
_PASSED = {"defs", "symbol", "clipPath", "mask", "marker", "pattern", "linearGradient"}
_PASSED |= {"radialGradient", "filter", "view", "style"}
_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")
_CLIPS = ("clip-path", "mask")
_NO_PAINT = {"none", "transparent"}


@dataclass(frozen=True)
class _State:
    """What an element takes from those around it; an empty paint is not stated anywhere."""

    matrix: Matrix
    group: str = ""
    visibility: str = "visible"
    fill: str = ""
    stroke: str = ""
    depth: int = 0

    def of(self, style: dict[str, str]) -> _State:
        """Return the state with an element's own properties."""
        if not style:
            return self
        found = {"visibility": self.visibility, "fill": self.fill, "stroke": self.stroke}
        found |= {name: style[name] for name in found if style.get(name, "inherit") != "inherit"}
        for paint in ("fill", "stroke"):
            if style.get(f"{paint}-opacity") in {"0", "0%", "0.0"}:
                found[paint] = "none"
        if style.get("stroke-width") in {"0", "0px"}:
            found["stroke"] = "none"
        return replace(
            self, visibility=found["visibility"], fill=found["fill"], stroke=found["stroke"]
        )

    def hidden(self, name: str) -> str:
        """Return why a shape is not seen, or an empty text.

        A shape whose paints are not stated is read, though a line without a stroke is not seen.
        """
        if self.visibility in {"hidden", "collapse"}:
            return "hidden"
        filled = self.fill not in _NO_PAINT and name != "line"
        stroked = self.stroke not in _NO_PAINT and (self.stroke != "" or name == "line")
        return "" if filled or stroked else "neither filled nor stroked"


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
    except (ParseError, RecursionError, ValueError, LookupError) as error:
        raise DrawingError(f"The XML cannot be read: {str(error)[:120]}") from None
    if root.tag != f"{SVG}svg":
        raise DrawingError("The file's root is not an <svg> of the SVG name space.")
    styles = Styles(root)
    style = styles.of(root)
    page = read_page(root, units, style)
    reader = _Reader(tolerance, root, page, styles)
    if style.get("display") == "none":
        reader.skipped.append("svg (hidden)")
    else:
        reader.walk(root, _State(page.matrix).of(style))
    notes = (*page.notes, *reader.notes())
    return Drawing("svg", joined(reader.paths), notes, counted(reader.skipped))


class _Reader:
    """Walks the elements and multiplies their matrices."""

    def __init__(self, tolerance: float, root: Element, page: SvgViewport, styles: Styles) -> None:
        self.tolerance, self.page, self.styles = tolerance, page, styles
        self.paths: list[Path] = []
        self.skipped: list[str] = []
        self._shapes = Shapes(page.width, page.height)
        self._by_id = {each.get("id"): each for each in root.iter() if each.get("id")}
        self._kinds: Counter[str] = Counter()
        self._elements = self._segments = self._vertices = self._clipped = 0

    def notes(self) -> list[str]:
        """Return notes about what was read otherwise than drawn."""
        if not self._clipped:
            return []
        count = "1 element" if self._clipped == 1 else f"{self._clipped} elements"
        return [f"Clip paths and masks are not applied: {count} with one were read whole."]

    def walk(self, element: Element, state: _State) -> None:
        """Read an element's children.

        Raises:
            DrawingError: when groups are nested too deeply, or there are too many elements.
        """
        if state.depth > _DEEPEST:
            raise DrawingError(f"Groups are nested deeper than {_DEEPEST}.")
        for child in element:
            self._count()
            if not isinstance(child.tag, str) or not child.tag.startswith(SVG):
                continue
            name = child.tag.removeprefix(SVG)
            self._kinds[name] += 1
            if name in _SKIPPED:
                self.skipped.append(name)
            elif name not in _PASSED:
                self._one(name, child, state)

    def _count(self) -> None:
        self._elements += 1
        if self._elements > MAX_ELEMENTS:
            raise DrawingError(f"A drawing has at most {MAX_ELEMENTS} elements.")

    def _one(self, name: str, element: Element, state: _State) -> None:
        """Read one element; errors name its place."""
        try:
            style = self.styles.of(element)
            reason = "hidden" if style.get("display") == "none" else ""
            if style.get("opacity") in {"0", "0%", "0.0"}:
                reason = "transparent"
            inner = state.of(style)
            if name in DRAWN:
                reason = reason or inner.hidden(name)
            if reason:
                self.skipped.append(f"{name} ({reason})")
                return
            if style:
                self._clipped += any(style.get(each, "none") != "none" for each in _CLIPS)
            matrix = self._transform(element, style)
            if matrix != IDENTITY:
                inner = replace(inner, matrix=times(state.matrix, matrix))
            if name in DRAWN:
                self._drawn(name, element, inner)
                return
        except DrawingError as error:
            raise DrawingError(f"{self._place(name, element)}: {error}") from None
        self._container(name, element, inner)

    def _container(self, name: str, element: Element, state: _State) -> None:
        inside = replace(state, group=element.get("id") or state.group, depth=state.depth + 1)
        if name in {"g", "a"}:
            self.walk(element, inside)
        elif name == "use":
            self._used(element, inside)
        else:
            raise DrawingError(
                f"{self._place(name, element)} is not supported; draw with path, polygon, "
                "polyline, line, rect, circle, ellipse and copies of them."
            )

    def _transform(self, element: Element, style: dict[str, str]) -> Matrix:
        if not style and element.get("transform") is None:
            return IDENTITY
        if style.get("transform-box", "view-box") != "view-box":
            raise DrawingError(f"transform-box: {style['transform-box'][:20]} is not supported.")
        # A style's transform replaces the attribute's.
        matrix = (
            parse_transform(style["transform"], is_css=True)
            if "transform" in style
            else parse_transform(element.get("transform") or "", is_css=False)
        )
        if "transform-origin" not in style:
            return matrix
        origin = parse_origin(style["transform-origin"], self.page.width, self.page.height)
        return about(*origin, matrix)

    def _place(self, name: str, element: Element) -> str:
        """Return a description of an element: its id, or its number among its kind."""
        called = element.get("id")
        return f'<{name} id="{called[:40]}">' if called else f"<{name}> number {self._kinds[name]}"

    def _used(self, element: Element, state: _State) -> None:
        """Read a copy of another element of the same file."""
        place = self._place("use", element)
        if state.depth > _DEEPEST:
            raise DrawingError(f"{place} refers to itself or is nested deeper than {_DEEPEST}.")
        href = next((element.get(key) for key in _HREFS if element.get(key)), "") or ""
        other = self._by_id.get(href[1:]) if href.startswith("#") else None
        if other is None or not isinstance(other.tag, str) or not other.tag.startswith(SVG):
            raise DrawingError(f"{place} refers to an element that is not in this file.")
        self._count()
        try:
            x, y = self._shapes.number(element, "x"), self._shapes.number(element, "y")
        except DrawingError as error:
            raise DrawingError(f"{place}: {error}") from None
        copy = replace(state, matrix=times(state.matrix, moved(x, y)))
        name = other.tag.removeprefix(SVG)
        if name == "symbol":
            self._symbol(other, element, copy)
        elif name in _SKIPPED:
            self.skipped.append(name)
        elif name not in _PASSED:
            self._one(name, other, copy)

    def _symbol(self, symbol: Element, use: Element, state: _State) -> None:
        """Read a symbol, whose view box is fitted to the size that its copy states."""
        try:
            inner = state.of(self.styles.of(symbol))
            view = self._symbol_view(symbol, use)
        except DrawingError as error:
            raise DrawingError(f"{self._place('use', use)}: {error}") from None
        self.walk(symbol, replace(inner, matrix=times(state.matrix, view)))

    def _symbol_view(self, symbol: Element, use: Element) -> Matrix:
        box = numbers(symbol.get("viewBox") or "", "The viewBox of its symbol")
        size = [self._shapes.number(use, key) for key in ("width", "height")]
        if box and (len(box) != 4 or min(*box[2:], *size) <= 0.0):  # noqa: PLR2004 - x, y, w, h
            raise DrawingError("A symbol with a viewBox needs width and height of its use.")
        return view_matrix(symbol, box, size[0], size[1])

    def _drawn(self, name: str, element: Element, state: _State) -> None:
        try:
            runs = [run for run in self._shapes.runs(name, element) if run.steps]
            self._segments += sum(len(run.steps) for run in runs)
            if self._segments > MAX_SEGMENTS:
                raise DrawingError(f"A drawing has at most {MAX_SEGMENTS} segments.")
            for run in runs:
                vertices = vertices_of(run, state.matrix, tolerance=self.tolerance)
                # A sum is finite if all its numbers are, unless they are huge.
                if not math.isfinite(sum(map(sum, vertices))) and not all(
                    math.isfinite(value) for vertex in vertices for value in vertex
                ):
                    raise DrawingError("A coordinate is not a finite number.")
                self._vertices += len(vertices)
                if self._vertices > 2 * MAX_SEGMENTS:
                    raise DrawingError(
                        f"The drawing's curves need more than {2 * MAX_SEGMENTS} lines and arcs."
                    )
                called = element.get("id") or ""
                fill = "" if state.fill in _NO_PAINT else state.fill[:40]
                self.paths.append(
                    Path(tuple(vertices), state.group, called, closed=run.closed, fill=fill)
                )
        except GeometryError as error:
            raise DrawingError(error.message) from None
