"""A DXF reader that works tag by tag, without a library.

Source:
    "DXF Reference" for AutoCAD 2000: LWPOLYLINE and VERTEX (codes 10, 20, 42, 70), POLYLINE,
    CIRCLE, LINE, ARC (always counter-clockwise, angles in degrees).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

READER = "group-code reader"
#: Ends within this distance, mm, are one point.
_MEETS = 0.01
#: Points may lie this far outside the stated extents, mm, because both are rounded.
_OUTSIDE = 0.001
#: Other groups of POLYLINE, VERTEX and SEQEND; only the first one's flags count.
_BESIDE = {("POLYLINE", False), ("SEQEND", False), ("SEQEND", True), ("VERTEX", True)}
_UNITS = {1: 25.4, 4: 1.0, 5: 10.0, 6: 1000.0}


def read(data: bytes, *, unit: float = 1.0) -> list[ReadStroke]:
    """Return the strokes of a DXF, mm, y up; an entity that is one line or arc is one stroke.

    Args:
        data: the file.
        unit: mm per drawing unit; a header that states a unit must agree with it.

    Raises:
        ValueError: when it is not a DXF file, its unit is unknown or different, or its extents are
            wrong.
    """
    lines = [line.strip() for line in data.decode("ascii").splitlines()]
    tags = [(int(lines[at]), lines[at + 1]) for at in range(0, len(lines) - 1, 2)]
    if _unit(tags, unit) != unit:
        raise ValueError("the header states a different unit from the one requested")
    strokes = [_stroke(entity, unit) for entity in _entities(tags)]
    _check_extents(tags, strokes, unit)
    return strokes


def _check_extents(tags: list[tuple[int, str]], strokes: list[ReadStroke], unit: float) -> None:
    """Check that the drawing lies within the extents that its header states."""
    low, high = (_header_place(tags, name, unit) for name in ("$EXTMIN", "$EXTMAX"))
    places = [stroke.start for stroke in strokes]
    places += [place for stroke in strokes for move in stroke.segments for place in _both(move)]
    for axis in (0, 1):
        values = [place[axis] for place in places] or [low[axis]]
        if not low[axis] - _OUTSIDE <= min(values) <= max(values) <= high[axis] + _OUTSIDE:
            raise ValueError("the drawing is not within the extents that its header states")


def _both(move: ReadSegment) -> tuple[Point, Point]:
    return move.middle, move.end


def _header_place(tags: list[tuple[int, str]], name: str, unit: float) -> tuple[float, float]:
    at = tags.index((9, name))
    return float(tags[at + 1][1]) * unit, float(tags[at + 2][1]) * unit


def regrouped(strokes: list[ReadStroke], counts: list[int]) -> list[ReadStroke]:
    """Return lines and arcs joined end to end into strokes.

    Args:
        strokes: one move each, in order; whole circles stay separate.
        counts: number of moves of each stroke.

    Raises:
        ValueError: when the number of moves differs, or they do not meet.
    """
    if sum(counts) != len(strokes):
        raise ValueError(f"{sum(counts)} lines and arcs were planned, {len(strokes)} were found")
    rest = iter(strokes)
    return [_chain([next(rest) for _ in range(count)]) for count in counts]


def _chain(moves: list[ReadStroke]) -> ReadStroke:
    first = moves[0]
    if first.closed:
        return first
    # Arcs are stored counter-clockwise, whatever the cutting direction; reverse them where needed.
    # Two arcs may share both ends: what is stored decides then, not rounding.
    if len(moves) > 1 and _gap(_turned(first), moves[1]) < _gap(first, moves[1]) - _MEETS:
        first = _turned(first)
    start, at = first.start, first.segments[0].end
    segments = [first.segments[0]]
    for move in moves[1:]:
        near = min(move, _turned(move), key=lambda each: math.dist(at, each.start))
        if math.dist(at, near.start) > _MEETS:
            raise ValueError("lines and arcs of one stroke do not meet")
        segments.append(near.segments[0])
        at = near.segments[0].end
    return ReadStroke(
        start, tuple(segments), len(moves) > 1 and math.dist(start, at) < _MEETS, first.group
    )


def _gap(move: ReadStroke, following: ReadStroke) -> float:
    end = move.segments[0].end
    return min(math.dist(end, following.start), math.dist(end, following.segments[0].end))


def _turned(move: ReadStroke) -> ReadStroke:
    (segment,) = move.segments
    return ReadStroke(
        segment.end, (ReadSegment(segment.middle, move.start),), move.closed, move.group
    )


def _unit(tags: list[tuple[int, str]], usual: float) -> float:
    for at, (code, value) in enumerate(tags):
        if code == 9 and value == "$INSUNITS":  # noqa: PLR2004 - a variable's name
            return _UNITS[int(tags[at + 1][1])]
    if (1, "AC1009") in tags:
        return usual
    raise ValueError("the header states no $INSUNITS")


def _entities(tags: list[tuple[int, str]]) -> Iterator[list[tuple[int, str]]]:
    inside = False
    entity: list[tuple[int, str]] = []
    for code, value in tags:
        if code == 2 and value == "ENTITIES":  # noqa: PLR2004 - a section's name
            inside = True
        elif inside and code == 0 and value in {"VERTEX", "SEQEND"}:
            entity.append((code, value))
        elif inside and code == 0:
            if entity:
                yield entity
            if value == "ENDSEC":
                return
            entity = [(code, value)]
        elif inside and entity:
            entity.append((code, value))


def _stroke(entity: list[tuple[int, str]], scale: float) -> ReadStroke:
    kind = entity[0][1]
    layer = next(value for code, value in entity if code == 8)  # noqa: PLR2004 - layer
    if kind in {"LWPOLYLINE", "POLYLINE"}:
        return _polyline(entity, layer, scale)
    numbers = {code: float(value) for code, value in entity if 10 <= code < 60}  # noqa: PLR2004
    if kind == "LINE":
        start, end = [numbers[10], numbers[20], 0.0], [numbers[11], numbers[21]]
        start, end = [value * scale for value in start], [value * scale for value in end]
        return ReadStroke(Point(*start[:2]), (_segment(start, end),), closed=False, group=layer)
    if kind == "ARC":
        return _arc(numbers, layer, scale)
    if kind == "CIRCLE":
        return _circle(numbers[10] * scale, numbers[20] * scale, numbers[40] * scale, layer)
    raise ValueError(f"unexpected entity {kind}")


def _circle(x: float, y: float, radius: float, layer: str) -> ReadStroke:
    east, west = Point(x + radius, y), Point(x - radius, y)
    return ReadStroke(
        east,
        (ReadSegment(Point(x, y + radius), west), ReadSegment(Point(x, y - radius), east)),
        closed=True,
        group=layer,
    )


def _arc(numbers: dict[int, float], layer: str, scale: float) -> ReadStroke:
    first = numbers[50]
    sweep = (numbers[51] - first) % 360.0
    start, middle, end = (
        Point(
            scale * (numbers[10] + numbers[40] * math.cos(math.radians(first + share * sweep))),
            scale * (numbers[20] + numbers[40] * math.sin(math.radians(first + share * sweep))),
        )
        for share in (0.0, 0.5, 1.0)
    )
    return ReadStroke(start, (ReadSegment(middle, end),), closed=False, group=layer)


def _polyline(entity: list[tuple[int, str]], layer: str, scale: float) -> ReadStroke:
    rows: list[list[float]] = []
    closed = False
    part = entity[0][1]
    for code, value in entity:
        if code == 0:
            part = value
        elif (part, code == 70) in _BESIDE:  # noqa: PLR2004 - flags
            continue
        elif code == 70:  # noqa: PLR2004 - flags
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
