"""The page of an SVG: its size, view box and unit, as a matrix to mm, y up.

Source:
    SVG 1.1, 7.7 (viewBox), 7.8 (preserveAspectRatio: the whole box at one scale, centred, unless it
    says none); CSS Transforms 1, 2: a transform of the root works on the page in pixels, about its
    centre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from geometry.shapes.paths import Matrix
from service.drawings.drawing import UNITS_MM, DrawingError, other_units
from service.drawings.svg.transforms import about, parse_origin, parse_transform, times
from service.drawings.svg.values import LENGTH_MM, measure, numbers

_ALIGN = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
#: Relative difference at which two scales are equal.
_EQUAL = 1.0e-3


@dataclass(frozen=True)
class SvgViewport:
    """The matrix from user units to mm, the size in user units if it is known, and notes."""

    matrix: Matrix
    width: float | None
    height: float | None
    notes: list[str] = field(default_factory=list)


def read_page(root: Element, units: str | None, style: dict[str, str]) -> SvgViewport:
    """Return the page of a drawing.

    Args:
        root: the root element.
        units: units of its user units when it states no size.
        style: properties of the root's style.

    Raises:
        DrawingError: when it states no size and no units are given, or its numbers cannot be read.
    """
    box = _view_box(root)
    width, height = _size(root, box)
    if width is None or height is None:
        if units is None:
            raise DrawingError(
                "The drawing states no size with units (width and height in mm, cm, in or pt "
                'beside a viewBox). Add them, or state "units" for its user units. An inspection '
                'also takes "px", of which 96 are an inch.'
            )
        return _page_in_units(root, units, box, style)
    px = LENGTH_MM["px"]
    inner = view_matrix(root, box, width / px, height / px)
    outer = times(_flipped(px, height), _root_transform(root, style, width / px, height / px))
    page = SvgViewport(
        times(outer, inner),
        box[2] if box else width / px,
        box[3] if box else height / px,
        _scale_notes(root, box, width, height),
    )
    page.notes.extend(other_units(units, math.hypot(inner[0], inner[1]) * px))
    return page


def _flipped(scale: float, height: float) -> Matrix:
    return (scale, 0.0, 0.0, -scale, 0.0, height)


def _page_in_units(
    root: Element, units: str, box: list[float] | None, style: dict[str, str]
) -> SvgViewport:
    """Return the page of a drawing whose unit is stated beside it."""
    scale = UNITS_MM[units]
    bare = [_bare(root, name) for name in ("width", "height")]
    inner: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    if units == "px" and box and bare[0] and bare[1]:
        # Numbers without a unit are pixels of the page, which the view box scales.
        inner = view_matrix(root, box, bare[0], bare[1])
    sizes = (box[2], box[3]) if box else (bare[0], bare[1])
    turned = _root_transform(root, style, bare[0] or 0.0, bare[1] or 0.0)
    matrix = times(times(_flipped(scale, 0.0), turned), inner)
    return SvgViewport(matrix, *sizes)


def _view_box(element: Element) -> list[float] | None:
    text = element.get("viewBox")
    if text is None:
        return None
    box = numbers(text, "The viewBox")
    if len(box) != 4 or box[2] <= 0.0 or box[3] <= 0.0:  # noqa: PLR2004 - x, y, width, height
        raise DrawingError("The viewBox needs four numbers, width and height above zero.")
    return box


def _size(root: Element, box: list[float] | None) -> tuple[float | None, float | None]:
    """Return width and height in mm, as far as they have units; one follows from the other."""
    width, height = _length_mm(root, "width"), _length_mm(root, "height")
    if box and width is not None and height is None and _bare(root, "height") is None:
        height = width * box[3] / box[2]
    elif box and height is not None and width is None and _bare(root, "width") is None:
        width = height * box[2] / box[3]
    return width, height


def _length_mm(root: Element, name: str) -> float | None:
    """Return a length with a unit in mm; ``None`` if it is missing, bare or in %."""
    text = root.get(name)
    if text is None or text.strip() in {"", "auto"}:
        return None
    number, unit = measure(text, f"<svg> {name}")
    if unit not in LENGTH_MM:
        return None
    value = number * LENGTH_MM[unit]
    return value if math.isfinite(value) and value > 0.0 else None


def _bare(root: Element, name: str) -> float | None:
    """Return a size without a unit."""
    text = root.get(name)
    if text is None or text.strip() in {"", "auto"}:
        return None
    number, unit = measure(text, f"<svg> {name}")
    return number if not unit and number > 0.0 else None


def view_matrix(element: Element, box: list[float] | None, width: float, height: float) -> Matrix:
    """Return the matrix from a view box to a viewport of this size, whose corner is the origin.

    Raises:
        DrawingError: for a ``preserveAspectRatio`` that is none.
    """
    if not box:
        return (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    words = (element.get("preserveAspectRatio") or "xMidYMid").split()
    words = words[1:] if words[:1] == ["defer"] else words
    align, fit = (words[0] if words else ""), (words[1] if len(words) > 1 else "meet")
    sx, sy = width / box[2], height / box[3]
    if align == "none":
        return (sx, 0.0, 0.0, sy, -box[0] * sx, -box[1] * sy)
    x, y = _ALIGN.get(align[1:4]), _ALIGN.get(align[5:8])
    if fit not in {"meet", "slice"} or x is None or y is None or align[::4] != "xY":
        shown = (element.get("preserveAspectRatio") or "")[:40]
        raise DrawingError(f"preserveAspectRatio={shown!r} cannot be read.")
    scale = min(sx, sy) if fit == "meet" else max(sx, sy)
    left = (width - box[2] * scale) * x - box[0] * scale
    top = (height - box[3] * scale) * y - box[1] * scale
    return (scale, 0.0, 0.0, scale, left, top)


def _scale_notes(root: Element, box: list[float] | None, width: float, height: float) -> list[str]:
    """Return a note if the page and its view box have different proportions."""
    if not box or math.isclose(width / box[2], height / box[3], rel_tol=_EQUAL):
        return []
    if (root.get("preserveAspectRatio") or "").strip().startswith("none"):
        return []
    text = (
        f"Width and height would scale x by {width / box[2]:.6g} and y by {height / box[3]:.6g} "
        "mm per unit: both are drawn at one scale, as SVG says. "
        'preserveAspectRatio="none" would stretch the drawing.'
    )
    return [text]


def _root_transform(root: Element, style: dict[str, str], width: float, height: float) -> Matrix:
    """Return the root's transform, in pixels of the page."""
    matrix = (
        parse_transform(style["transform"], is_css=True)
        if "transform" in style
        else parse_transform(root.get("transform") or "", is_css=False)
    )
    origin = style.get("transform-origin", "50% 50%")
    return about(*parse_origin(origin, width, height), matrix)
