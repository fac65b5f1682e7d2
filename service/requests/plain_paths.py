"""A quick reader for simple paths of a drawn block: a schema takes ten times as long.

It reads only paths that are certainly right; all others go to the schema, which reports errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from geometry.model.outline import Vertex
from geometry.units import UNIT_MM
from service.schemas.context import current
from service.schemas.fields import MAX_COORDINATE, MAX_POINTS
from service.schemas.validation import List

_MEMBERS = frozenset({"points", "closed"})
_NUMBERS = frozenset({int, float})
_MIN_POINTS = 2


@dataclass(frozen=True)
class DrawnPath:
    """A path of a block's drawing: vertices, mm, and the fabric inside it if it is closed."""

    vertices: tuple[Vertex, ...]
    closed: bool = False
    fabric: str = ""


class Paths(List):
    """Paths; those that are right and have no fabric are read without the schema."""

    def element(self, value: Any, **kwargs: Any) -> Any:  # noqa: ANN401 - any JSON value
        """Return one path as its schema loads it.

        Raises:
            marshmallow.ValidationError: when it does not fit.
        """
        path = plain_path(value, current().units)
        return super().element(value, **kwargs) if path is None else path


def plain_path(value: Any, units: str | None) -> DrawnPath | None:  # noqa: ANN401 - any JSON value
    """Return a path that is certainly right; ``None`` for one that the schema has to read."""
    if units is None or type(value) is not dict or not value.keys() <= _MEMBERS:
        return None
    rows, closed = value.get("points"), value.get("closed", False)
    if type(rows) is not list or type(closed) is not bool:
        return None
    if not _MIN_POINTS <= len(rows) <= MAX_POINTS or not all(map(_is_plain, rows)):
        return None
    scale = UNIT_MM[units]
    vertices = [Vertex(x * scale, y * scale, *map(float, bulge)) for x, y, *bulge in rows]
    return DrawnPath(tuple(vertices), closed)


def _is_plain(row: Any) -> bool:  # noqa: ANN401 - any JSON value
    """Return whether a value is a point, with a bulge or without."""
    if type(row) is not list or len(row) not in {2, 3}:
        return False
    x, y, bulge = row if len(row) == 3 else (*row, 0.0)  # noqa: PLR2004 - x, y, bulge
    if not (type(x) in _NUMBERS and type(y) in _NUMBERS and type(bulge) in _NUMBERS):
        return False
    # Both comparisons are false for NaN.
    is_near: bool = (
        -MAX_COORDINATE <= x <= MAX_COORDINATE and -MAX_COORDINATE <= y <= MAX_COORDINATE
    )
    is_bent: bool = -1.0 <= bulge <= 1.0
    return is_near and is_bent
