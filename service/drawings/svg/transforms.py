"""Transforms of SVG attributes and of CSS, as matrices.

Source:
    W3C, "CSS Transforms Module Level 1", 2019: sections 6 (grammar), 7 (functions) and 12
    (matrices); SVG 1.1, 7.6. Lists apply from the right: the last one to the shape first.
"""

from __future__ import annotations

import math
import re

from geometry.sentences import number_of
from geometry.shapes.paths import Matrix
from service.drawings.drawing import DrawingError
from service.drawings.svg.values import NUMBER, user_units

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_FUNCTION = re.compile(r"\s*,?\s*([A-Za-z0-9]{1,20})\s*\(([^()]{0,300})\)")
_ARGUMENT = re.compile(rf"({NUMBER})([A-Za-z]*|%)")
_BETWEEN = re.compile(r"\s*,\s*|\s+")
_TURN_DEG = {"": 1.0, "deg": 1.0, "rad": 180.0 / math.pi, "grad": 0.9, "turn": 360.0}
#: Numbers that a function takes, and what each is: a plain number, a length or an angle.
_FUNCTIONS: dict[str, tuple[set[int], str]] = {
    "matrix": ({6}, "number"),
    "translate": ({1, 2}, "length"),
    "translatex": ({1}, "length"),
    "translatey": ({1}, "length"),
    "scale": ({1, 2}, "number"),
    "scalex": ({1}, "number"),
    "scaley": ({1}, "number"),
    "rotate": ({1, 3}, "angle"),
    "skew": ({1, 2}, "angle"),
    "skewx": ({1}, "angle"),
    "skewy": ({1}, "angle"),
}
#: Functions of the attribute; CSS has the others, and needs units.
_OF_ATTRIBUTE = {"matrix", "translate", "scale", "rotate", "skewX", "skewY"}


def times(m: Matrix, n: Matrix) -> Matrix:
    """Return the matrix that applies ``n`` and then ``m``."""
    return (
        m[0] * n[0] + m[2] * n[1],
        m[1] * n[0] + m[3] * n[1],
        m[0] * n[2] + m[2] * n[3],
        m[1] * n[2] + m[3] * n[3],
        m[0] * n[4] + m[2] * n[5] + m[4],
        m[1] * n[4] + m[3] * n[5] + m[5],
    )


def moved(x: float, y: float) -> Matrix:
    """Return the matrix of a move."""
    return (1.0, 0.0, 0.0, 1.0, x, y)


def about(x: float, y: float, matrix: Matrix) -> Matrix:
    """Return a matrix applied about a point instead of the origin."""
    return times(times(moved(x, y), matrix), moved(-x, -y))


def parse_transform(text: str, *, is_css: bool) -> Matrix:
    """Return the matrix of a list of transforms.

    Args:
        text: the list.
        is_css: whether it is of a style, where lengths and angles need units.

    Raises:
        DrawingError: at the first thing that is unknown or no number, quoting it.
    """
    matrix = IDENTITY
    if text.strip().lower() in {"", "none"}:
        return matrix
    text = text.rstrip()
    at = 0
    while at < len(text):
        found = _FUNCTION.match(text, at)
        if found is None:
            raise DrawingError(f"A transform cannot be read: {text[at : at + 30].strip()!r}.")
        known = found[1].lower() in _FUNCTIONS if is_css else found[1] in _OF_ATTRIBUTE
        if not known:
            raise DrawingError(
                f"The transform {found[1]!r} is not known; write matrix, translate, scale, rotate, "
                "skewX or skewY."
            )
        matrix = times(matrix, _one(found[1].lower(), found[2], is_css=is_css))
        at = found.end()
    return matrix


def _one(name: str, inner: str, *, is_css: bool) -> Matrix:
    """Return the matrix of one function."""
    counts, kind = _FUNCTIONS[name]
    values: list[float] = []
    for place, word in enumerate(_BETWEEN.split(inner.strip())):
        found = _ARGUMENT.fullmatch(word)
        if found is None:
            raise DrawingError(f"The transform {name}({inner[:40]}) has {word[:20]!r} as a number.")
        # Only the angle of a rotation about a point is an angle.
        what = "length" if name == "rotate" and place else kind
        values.append(_value(found, what, f"{name}({inner[:40]})", is_css=is_css))
    if len(values) not in counts or (is_css and name == "rotate" and len(values) > 1):
        count = number_of(len(values), "number")
        raise DrawingError(f"The transform {name}({inner[:40]}) has {count}.")
    return _matrix(name, values)


def _value(found: re.Match[str], kind: str, shown: str, *, is_css: bool) -> float:
    number, unit = float(found[1]), found[2].lower()
    if is_css and not unit and number and kind != "number":
        raise DrawingError(f"The transform {shown} of a style needs units, as in 10px or 30deg.")
    if kind == "angle" and unit in _TURN_DEG:
        return number * _TURN_DEG[unit]
    if kind == "length":
        return user_units(found[0], f"The transform {shown}")
    if unit:
        raise DrawingError(f"The transform {shown} has the unit {unit!r}, which it cannot have.")
    return number


def _matrix(name: str, values: list[float]) -> Matrix:
    first, last = values[0], values[-1]
    if name == "matrix":
        a, b, c, d, e, f = values
        return (a, b, c, d, e, f)
    if name == "rotate":
        cos, sin = math.cos(math.radians(first)), math.sin(math.radians(first))
        turn: Matrix = (cos, sin, -sin, cos, 0.0, 0.0)
        return about(values[1], values[2], turn) if len(values) > 1 else turn
    second = last if len(values) > 1 else 0.0
    lean = math.tan(math.radians(first))
    return {
        "translate": moved(first, second),
        "translatex": moved(first, 0.0),
        "translatey": moved(0.0, first),
        "scale": (first, 0.0, 0.0, last, 0.0, 0.0),
        "scalex": (first, 0.0, 0.0, 1.0, 0.0, 0.0),
        "scaley": (1.0, 0.0, 0.0, first, 0.0, 0.0),
        "skewx": (1.0, 0.0, lean, 1.0, 0.0, 0.0),
        "skewy": (1.0, lean, 0.0, 1.0, 0.0, 0.0),
        "skew": (1.0, math.tan(math.radians(second)), lean, 1.0, 0.0, 0.0),
    }[name]


_SIDES = {"left": 0.0, "top": 0.0, "center": 50.0, "right": 100.0, "bottom": 100.0}


def parse_origin(text: str, width: float | None, height: float | None) -> tuple[float, float]:
    """Return the point about which a transform works, in user units.

    Args:
        text: the value of ``transform-origin``.
        width: width that percentages refer to, if it is known.
        height: height, likewise.

    Raises:
        DrawingError: when it is no point.
    """
    words = text.split()
    if words and words[0] in {"top", "bottom"}:
        # Words may stand in either order.
        words = [words[1] if len(words) > 1 else "center", words[0], *words[2:]]
    words = [*words, "center"] if len(words) == 1 else words
    if len(words) != 2:  # noqa: PLR2004 - x and y
        raise DrawingError(f"The transform-origin {text[:40]!r} cannot be read.")
    x, y = (f"{_SIDES[word]}%" if word in _SIDES else word for word in words)
    return (
        user_units(x, "transform-origin", width),
        user_units(y, "transform-origin", height),
    )
