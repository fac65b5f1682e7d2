"""Outlines of one's own, given as points."""

from __future__ import annotations

import re
from collections.abc import Sequence

from geometry.errors import InvalidOutlineError, ShapeError
from geometry.model.outline import Outline
from geometry.validate import MOST_SEGMENTS, require_simple


def from_points(rows: Sequence[Sequence[float]]) -> Outline:
    """Return the outline through points ``(x, y)`` or ``(x, y, bulge)``.

    Units:
        mm, y up; bulge = tan(sweep / 4), positive counter-clockwise.

    Raises:
        InvalidOutlineError, NonFiniteError, GeometryFaults: ``where`` starts with
            ``("points", index)``.
    """
    if len(rows) > MOST_SEGMENTS:
        detail = f"An outline has at most {MOST_SEGMENTS} points."
        raise InvalidOutlineError(detail, where=("points",))
    return closing_with_line(require_simple(Outline.of(rows)))


_TOKEN = re.compile(
    r"\s*(?:,\s*)?([MmLlHhVvZzAaCcSsQqTt]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,2})?)"
)
#: Characters of path data, at the most.
MOST_PATH_TEXT = 200_000


def from_path(text: str, *, scale: float) -> Outline:
    """Return the outline of SVG path data made of lines.

    Units:
        ``scale`` mm to the path's unit; y points down in path data and is turned up once.

    Raises:
        ShapeError: when the data cannot be read, has several subpaths or is not closed.
        InvalidOutlineError, NonFiniteError, GeometryFaults: as :func:`from_points`.
    """
    if len(text) > MOST_PATH_TEXT:
        raise ShapeError(f"Path data has at most {MOST_PATH_TEXT} characters.", where=("path",))
    rows = [(x * scale, -y * scale) for x, y in _points(_tokens(text))]
    return closing_with_line(require_simple(Outline.of(rows)))


def _tokens(text: str) -> list[str]:
    tokens, at = [], 0
    text = text.rstrip()
    while at < len(text):
        found = _TOKEN.match(text, at)
        if found is None:
            detail = f"Path data cannot be read at character {at}: {text[at : at + 12]!r}."
            raise ShapeError(detail, where=("path",))
        tokens.append(found[1])
        at = found.end()
    return tokens


def _points(tokens: list[str]) -> list[tuple[float, float]]:
    """Return the corners of one closed subpath of lines."""
    points: list[tuple[float, float]] = []
    command, at, x, y, closed = "", 0, 0.0, 0.0, False
    while at < len(tokens):
        if tokens[at].isalpha():
            command = tokens[at]
            at += 1
        if closed or (command in "Mm" and points):
            raise ShapeError("Path data must be one closed subpath.", where=("path",))
        if command in "Zz":
            closed = True
            continue
        if not points and command not in {"M", "m"}:
            raise ShapeError("Path data starts with M.", where=("path",))
        if command not in set("MmLlHhVv"):
            detail = f"Path command {command or '?'} is not supported: use lines (M L H V Z)."
            raise ShapeError(detail, where=("path",))
        need = 1 if command in "HhVv" else 2
        numbers = tokens[at : at + need]
        if len(numbers) < need or any(token.isalpha() for token in numbers):
            raise ShapeError(f"Path command {command} lacks a number.", where=("path",))
        values = [float(token) for token in numbers]
        at += need
        base = (x, y) if command.islower() else (0.0, 0.0)
        if command in "Hh":
            x = base[0] + values[0]
        elif command in "Vv":
            y = base[1] + values[0]
        else:
            x, y = base[0] + values[0], base[1] + values[1]
        points.append((x, y))
        command = {"M": "L", "m": "l"}.get(command, command)
    if not closed:
        raise ShapeError("Path data must end with Z: an outline is closed.", where=("path",))
    if len(points) > 1 and points[0] == points[-1]:
        points.pop()
    return points


def closing_with_line(outline: Outline) -> Outline:
    """Return the ring started so that a line closes it, when it has one.

    Readers of cut files lose the bulge of a closing segment more often than any other.
    """
    count = len(outline.vertices)
    for index in range(count):
        if not outline.vertices[index - 1].bulge:
            return outline if index == 0 else outline.started_at(index)
    return outline
