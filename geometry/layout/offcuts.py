"""Usable rectangles that a load leaves: the largest, the largest beside it, and so on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.layout.fitting.holding_polygons import holding_polygon, turned
from geometry.layout.fitting.inner_fit import boundary_polygon
from geometry.layout.item import Offcut, Used
from geometry.layout.objective import used_strip
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.segments import Bounds
from geometry.tolerance import LAYOUT_ACCURACY

#: Narrower strips are waste, mm. Common practice, no source: 25 mm still makes a 1 in strip.
NARROWEST = 25.0
#: Smaller rectangles are not listed, mm2: 50 by 50 mm, or as much of another shape.
SMALLEST = 2500.0
#: Maximum number of offcuts listed per load.
_MAX_LISTED = 6
#: Pieces above which a load is not searched: what it leaves is narrow, and looking takes long.
_MAX_PIECES = 400
#: Lines drawn each way through an area that is no rectangle.
_LINES = 48

Box = tuple[float, float, float, float]


def offcuts_of(
    loads: Sequence[Load], outlines: Mapping[str, Outline], room: WorkArea, gap: float
) -> tuple[Offcut, ...]:
    """Return the rectangles that each load leaves whole, the largest first.

    Shape:
        Upright; at least ``NARROWEST`` mm both ways and ``SMALLEST`` mm2; none overlaps another
        of its load, and each is the largest that those before it leave. Pieces count with their
        boxes.

    Units:
        mm, in the coordinates of the work area; a gap's width from the pieces.
    """
    found: list[Offcut] = []
    for number, load in enumerate(loads):
        if len(load.placements) > _MAX_PIECES:
            continue
        boxes = [_box(each, outlines) for each in load.placements]
        area = room
        if room.open_right:
            limit = room.bounds
            end = max(box.right for box in boxes)
            area = WorkArea.rectangle(limit.left, limit.bottom, end - limit.left, limit.height)
        found.extend(_named(number, area.bounds, _largest(area, boxes, gap)))
    return tuple(found)


def _box(placement: Placement, outlines: Mapping[str, Outline]) -> Bounds:
    """Return the box of a piece where it lies."""
    move = placement.move
    box = turned(outlines[placement.piece], move.turn_deg, move.mirrored).bounds
    return Bounds(box.left + move.x, box.bottom + move.y, box.right + move.x, box.top + move.y)


def used_of(
    loads: Sequence[Load],
    outlines: Mapping[str, Outline],
    room: WorkArea,
    offcuts: Sequence[Offcut],
    gap: float,
) -> tuple[Used, ...]:
    """Return the strip that each load uses, with the largest rectangle that stays whole."""
    strips = [used_strip(load.placements, outlines, room) for load in loads]
    return with_rests(strips, room, offcuts, gap)


def with_rests(
    strips: Sequence[Used], room: WorkArea, offcuts: Sequence[Offcut], gap: float
) -> tuple[Used, ...]:
    """Return the strips that loads use, each with the largest rectangle of a room it leaves."""
    found = []
    for number, used in enumerate(strips):
        rests = [(o.x, o.y, o.width, o.height) for o in offcuts if o.load == number]
        rests += _beyond(used, room, gap)
        rest = max(rests, key=lambda each: each[2] * each[3], default=None)
        found.append(replace(used, rest=rest))
    return tuple(found)


def _beyond(used: Used, room: WorkArea, gap: float) -> list[Box]:
    """Return the rectangle of a sheet beyond the strip used, a gap away from it."""
    whole = room.bounds
    if room.open_right or not room.is_rectangle:
        return []
    boxes = [
        (used.right + gap, whole.bottom, whole.right - used.right - gap, whole.height),
        (whole.left, used.top + gap, whole.width, whole.top - used.top - gap),
        (whole.left, whole.bottom, used.left - gap - whole.left, whole.height),
        (whole.left, whole.bottom, whole.width, used.bottom - gap - whole.bottom),
    ]
    return [
        box
        for box in boxes
        if min(box[2:]) >= NARROWEST and box[2] * box[3] >= SMALLEST - LAYOUT_ACCURACY
    ]


def _named(load: int, limit: Bounds, rectangles: Iterator[Box]) -> Iterator[Offcut]:
    counts: dict[str, int] = {}
    for left, bottom, right, top in rectangles:
        name = _name(limit, left, bottom, right, top)
        counts[name] = counts.get(name, 0) + 1
        numbered = name if counts[name] == 1 else f"{name} {counts[name]}"
        yield Offcut(load, numbered, left, bottom, right - left, top - bottom)


def _name(limit: Bounds, left: float, bottom: float, right: float, top: float) -> str:
    """Return what a rectangle is called.

    One from side to side is a strip, one in a corner is called by the corner.
    """
    across = [
        name
        for name, away in (("left", left - limit.left), ("right", limit.right - right))
        if away < LAYOUT_ACCURACY
    ]
    up = [
        name
        for name, away in (("top", limit.top - top), ("bottom", bottom - limit.bottom))
        if away < LAYOUT_ACCURACY
    ]
    if len(across) == 1 and len(up) == 1:
        return f"{up[0]} {across[0]} corner"
    if spans := [other for side, other in ((across, up), (up, across)) if len(side) == 2]:  # noqa: PLR2004 - both sides
        return f"{spans[0][0]} strip" if spans[0] else "middle strip"
    near = [*up, *across]
    return f"{near[0]} rectangle" if near else "inner rectangle"


def _largest(area: WorkArea, boxes: Sequence[Bounds], gap: float) -> Iterator[Box]:
    """Yield the largest free rectangle, the largest that it leaves, and so on."""
    limit = area.bounds
    taken = [(b.left - gap, b.bottom - gap, b.right + gap, b.top + gap) for b in boxes]
    for keep_out in area.keep_outs:
        b = keep_out.bounds
        taken.append((b.left, b.bottom, b.right, b.top))
    xs = _lines([each[0] for each in taken] + [each[2] for each in taken], limit.left, limit.right)
    ys = _lines([each[1] for each in taken] + [each[3] for each in taken], limit.bottom, limit.top)
    shaped = not area.is_box
    if shaped:
        across, up = _upright_sides(area.boundary)
        xs = np.unique(np.concatenate([xs, np.linspace(limit.left, limit.right, _LINES), across]))
        ys = np.unique(np.concatenate([ys, np.linspace(limit.bottom, limit.top, _LINES), up]))
    free = _within(area, xs, ys) if shaped else np.ones((len(ys) - 1, len(xs) - 1), dtype=bool)
    _cover(free, xs, ys, taken)
    for _ in range(_MAX_LISTED):
        best = _largest_free(free, xs, ys)
        if best is None:
            return
        yield best
        left, bottom, right, top = best
        beside = (left - gap, bottom - gap, right + gap, top + gap)
        # Lines where it ends, or a cell of which it takes a gap's width would be lost whole.
        free, xs, ys = _divided(free, xs, ys, beside)
        _cover(free, xs, ys, [beside])


def _lines(values: Sequence[float], low: float, high: float) -> NDArray[np.float64]:
    """Return the lines at which something begins or ends, a hair apart counting as one."""
    inside = np.round([low, high, *(each for each in values if low < each < high)], 6)
    return np.unique(inside)


def _upright_sides(boundary: Outline) -> tuple[list[float], list[float]]:
    """Return where the upright and the level sides of a boundary lie, across and up.

    A rectangle may reach exactly to one, which the even lines would miss by up to their distance.
    """
    across, up = [], []
    vertices = boundary.vertices
    for index, (x, y, bulge) in enumerate(vertices):
        end = vertices[(index + 1) % len(vertices)]
        if bulge == 0.0 and abs(end.x - x) < LAYOUT_ACCURACY:
            across += [x, end.x]
        elif bulge == 0.0 and abs(end.y - y) < LAYOUT_ACCURACY:
            up += [y, end.y]
    return across, up


def _divided(
    free: NDArray[np.bool_], xs: NDArray[np.float64], ys: NDArray[np.float64], box: Box
) -> tuple[NDArray[np.bool_], NDArray[np.float64], NDArray[np.float64]]:
    """Return cells and lines with further lines at a box's sides, where they lie inside."""
    left, bottom, right, top = np.round(box, 6)
    for value in (left, right):
        at = int(np.searchsorted(xs, value))
        if 0 < at < len(xs) and xs[at] != value:
            xs, free = np.insert(xs, at, value), np.insert(free, at, free[:, at - 1], axis=1)
    for value in (bottom, top):
        at = int(np.searchsorted(ys, value))
        if 0 < at < len(ys) and ys[at] != value:
            ys, free = np.insert(ys, at, value), np.insert(free, at, free[at - 1], axis=0)
    return free, xs, ys


def _cover(
    free: NDArray[np.bool_],
    xs: NDArray[np.float64],
    ys: NDArray[np.float64],
    boxes: Sequence[Box],
) -> None:
    """Take from the free cells those that boxes reach into, even a little."""
    left, bottom, right, top = np.round(np.array(boxes).reshape(-1, 4), 6).T
    spans = (
        np.maximum(0, np.searchsorted(xs, left, "right") - 1),
        np.searchsorted(xs, right, "left"),
        np.maximum(0, np.searchsorted(ys, bottom, "right") - 1),
        np.searchsorted(ys, top, "left"),
    )
    for start, end, low, high in zip(*(each.tolist() for each in spans), strict=True):
        free[low:high, start:end] = False


def _within(area: WorkArea, xs: NDArray[np.float64], ys: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell which cells lie within an area of any shape."""
    whole = boundary_polygon(area.boundary)
    polygons.prepare(whole)
    left, bottom = np.meshgrid(xs[:-1], ys[:-1])
    right, top = np.meshgrid(xs[1:], ys[1:])
    inside: NDArray[np.bool_] = polygons.covers(whole, polygons.box(left, bottom, right, top))
    for keep_out in area.keep_outs:
        away = polygons.Polygon(holding_polygon(keep_out))
        inside &= ~polygons.intersects(away, polygons.box(left, bottom, right, top))
    return inside


def _largest_free(
    free: NDArray[np.bool_], xs: NDArray[np.float64], ys: NDArray[np.float64]
) -> Box | None:
    """Return the free rectangle of the greatest area that is wide and high enough.

    Source:
        The largest rectangle under a histogram, row by row, with a stack of rising columns:
        a textbook method.
    """
    best: Box | None = None
    most = SMALLEST - LAYOUT_ACCURACY
    across, up = xs.tolist(), ys.tolist()
    floor = [-1] * (len(xs) - 1)
    for row, are_free in enumerate(free.tolist()):
        # The lowest row from which each column is free up to this one.
        floor = [
            (row if low < 0 else low) if is_free else -1
            for low, is_free in zip(floor, are_free, strict=True)
        ]
        for left, right, bottom in _spans(floor):
            wide, high = across[right] - across[left], up[row + 1] - up[bottom]
            if min(wide, high) >= NARROWEST and wide * high > most + LAYOUT_ACCURACY:
                most = wide * high
                best = (across[left], up[bottom], across[right], up[row + 1])
    return best


def _spans(floor: Sequence[int]) -> Iterator[tuple[int, int, int]]:
    """Yield, for each height of a row's columns, the widest span that is free so far down."""
    stack: list[tuple[int, int]] = []  # where a span begins, its floor; floors fall to the right
    for column, low in enumerate([*floor, -1]):
        start = column
        while stack and (low < 0 or stack[-1][1] < low):
            start, deep = stack.pop()
            yield start, column, deep
        if low >= 0 and (not stack or stack[-1][1] > low):
            stack.append((start, low))
