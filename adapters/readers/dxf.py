"""DXF read tag by tag, by no library.

Source:
    "DXF Reference" for AutoCAD 2000: LWPOLYLINE (codes 10, 20, 42, 70), CIRCLE, LINE, ARC.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

READER = "group-code reader"
_UNITS = {1: 25.4, 4: 1.0, 5: 10.0, 6: 1000.0}


def read(data: bytes) -> list[ReadStroke]:
    """Return the strokes of a DXF, mm, y up.

    Raises:
        ValueError: when it is not a DXF, or has no known unit.
    """
    lines = [line.strip() for line in data.decode("ascii").splitlines()]
    tags = [(int(lines[at]), lines[at + 1]) for at in range(0, len(lines) - 1, 2)]
    scale = _unit(tags)
    return [stroke for entity in _entities(tags) if (stroke := _stroke(entity, scale)) is not None]


def _unit(tags: list[tuple[int, str]]) -> float:
    for at, (code, value) in enumerate(tags):
        if code == 9 and value == "$INSUNITS":  # noqa: PLR2004 - a variable's name
            return _UNITS[int(tags[at + 1][1])]
    raise ValueError("the header states no $INSUNITS")


def _entities(tags: list[tuple[int, str]]) -> Iterator[list[tuple[int, str]]]:
    inside = False
    entity: list[tuple[int, str]] = []
    for code, value in tags:
        if code == 2 and value == "ENTITIES":  # noqa: PLR2004 - a section's name
            inside = True
        elif inside and code == 0:
            if entity:
                yield entity
            if value == "ENDSEC":
                return
            entity = [(code, value)]
        elif inside and entity:
            entity.append((code, value))


def _stroke(entity: list[tuple[int, str]], scale: float) -> ReadStroke | None:
    kind = entity[0][1]
    layer = next(value for code, value in entity if code == 8)  # noqa: PLR2004 - layer
    if kind == "LWPOLYLINE":
        return _polyline(entity, layer, scale)
    if kind == "CIRCLE":
        numbers = {code: float(value) for code, value in entity if code in {10, 20, 40}}
        return _circle(numbers[10] * scale, numbers[20] * scale, numbers[40] * scale, layer)
    raise ValueError(f"an entity {kind} was not expected")


def _circle(x: float, y: float, radius: float, layer: str) -> ReadStroke:
    east, west = Point(x + radius, y), Point(x - radius, y)
    return ReadStroke(
        east,
        (ReadSegment(Point(x, y + radius), west), ReadSegment(Point(x, y - radius), east)),
        closed=True,
        group=layer,
    )


def _polyline(entity: list[tuple[int, str]], layer: str, scale: float) -> ReadStroke:
    rows: list[list[float]] = []
    closed = False
    for code, value in entity:
        if code == 70:  # noqa: PLR2004 - flags
            closed = bool(int(value) & 1)
        elif code == 10:  # noqa: PLR2004 - x
            rows.append([float(value) * scale, 0.0, 0.0])
        elif code == 20:  # noqa: PLR2004 - y
            rows[-1][1] = float(value) * scale
        elif code == 42:  # noqa: PLR2004 - bulge
            rows[-1][2] = float(value)
    ends = [*rows[1:], rows[0]] if closed else rows[1:]
    segments = [_segment(row, end) for row, end in zip(rows, ends, strict=False)]
    return ReadStroke(Point(rows[0][0], rows[0][1]), tuple(segments), closed, layer)


def _segment(row: list[float], end: list[float]) -> ReadSegment:
    """Return the move between two vertices; a bulge lifts the middle by half chord times it."""
    dx, dy = end[0] - row[0], end[1] - row[1]
    middle = Point((row[0] + end[0]) / 2 + row[2] * dy / 2, (row[1] + end[1]) / 2 - row[2] * dx / 2)
    if not math.isfinite(middle.x + middle.y):
        raise ValueError("a vertex is not finite")
    return ReadSegment(middle, Point(end[0], end[1]))
