"""A whole order of pieces on as many loads as it takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from geometry.layout.item import Item, Layout
from geometry.layout.single import fill
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load, Placement


def _flush(placements: tuple[Placement, ...], item: Item, room: WorkArea) -> tuple[Placement, ...]:
    """Return the placements moved together into the lower left corner of the room."""
    boxes = [each.move.outline(item.outline).bounds for each in placements]
    dx = room.bounds.left - min(box.left for box in boxes)
    dy = room.bounds.bottom - min(box.bottom for box in boxes)
    return tuple(
        replace(each, move=replace(each.move, x=each.move.x + dx, y=each.move.y + dy))
        for each in placements
    )


def lay_out(
    items: Sequence[Item],
    room: WorkArea,
    *,
    gap: float,
    effort: str | float = "normal",
    seed: int = 0,
    deadline: Callable[[], bool] | None = None,
) -> Layout:
    """Return the loads that cut an order.

    Shape:
        Loads that are alike stand once with their repeats; the last, less full one by itself.

    Units:
        mm.

    Args:
        items: what to place; each quantity at least 1.
        room: where cut lines may lie.
        gap: least distance between outlines, at least 0.
        effort: how long to search: ``quick``, ``normal``, ``best`` or seconds.
        seed: of searches that draw lots; the same seed gives the same layout.
        deadline: says when time is up; the best layout so far is then returned.

    Raises:
        DoesNotFit: when an item is larger than the room however it may be turned.
    """
    del seed  # rows draw no lots
    level = effort if isinstance(effort, str) else "best"
    loads: list[Load] = []
    complete = True
    for item in items:
        filled = fill(item, room, gap=gap, effort=level, out_of_time=deadline)
        complete = complete and filled.complete
        full, rest = divmod(item.quantity, len(filled.placements))
        if full:
            loads.append(Load(_flush(filled.placements, item, room), full))
        if rest:
            loads.append(Load(_flush(filled.placements[:rest], item, room)))
    covered = sum(area(item.outline) * item.quantity for item in items)
    return Layout(
        loads=tuple(loads),
        complete=complete,
        bound=max(1, math.ceil(covered / area(room.boundary) - 1e-9)),
    )
