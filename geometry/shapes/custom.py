"""Outlines of one's own, given as points."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.errors import InvalidOutlineError
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


def closing_with_line(outline: Outline) -> Outline:
    """Return the ring started so that a line closes it, when it has one.

    Readers of cut files lose the bulge of a closing segment more often than any other.
    """
    count = len(outline.vertices)
    for index in range(count):
        if not outline.vertices[index - 1].bulge:
            return outline if index == 0 else outline.started_at(index)
    return outline
