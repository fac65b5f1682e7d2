"""The general nester: one door to a library that packs a strip as short as it can.

What comes back is never trusted: every place is measured against no-fit polygons of our own
before it is used. The library stops by the clock, so what it finds may differ from run to run
and machine to machine even with one seed; ``quick`` and ``normal`` never come here.

Source:
    J. Gardeyn, G. Vanden Berghe, T. Wauters, "An open-source heuristic to reboot 2D nesting
    research", arXiv 2509.13329 (2025).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from geometry.layout.fit import candidate_turns
from geometry.layout.free import Placed, Variant
from geometry.layout.item import Item
from geometry.layout.polygons import holding_polygon
from geometry.layout.room import inner_fit
from geometry.model.cutter import WorkArea
from geometry.separation import separation
from geometry.tolerance import LAYOUT_ACCURACY

#: Added to the gap that the library is asked to keep, mm: it computes in single precision.
_MARGIN = 2.0e-3
_HALF_TURN = 180.0


def available() -> bool:
    """Tell whether the library is installed."""
    try:
        import spyrrow  # noqa: F401, PLC0415 - loaded only when it is wanted
    except ImportError:
        return False
    return True


def nested(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    *,
    gap: float,
    seconds: int,
    seed: int,
) -> list[Placed] | None:
    """Return all that is wanted on one load, or ``None`` when the nester found no way.

    Args:
        items: the kinds.
        wanted: how many of each.
        room: a rectangle, or a roll (``open_right``): then the length is what it comes to.
        gap: least distance, mm.
        seconds: how long the library may take, a whole number from 1.
        seed: of its lots.
    """
    kinds = {item.piece: item for item in items if wanted.get(item.piece, 0) > 0}
    found = _solve(kinds, wanted, room.bounds.height, gap, max(1, seconds), seed)
    box = room.bounds
    if not room.open_right and found.width > box.width + LAYOUT_ACCURACY:
        return None
    placed = [
        Placed(
            each.id,
            Variant(each.rotation % 360.0, kinds[each.id].outline),
            box.left + each.translation[0],
            box.bottom + each.translation[1],
        )
        for each in found.placed_items
    ]
    if len(placed) != sum(wanted[piece] for piece in kinds):
        return None
    placed = [_pushed_in(each, room) for each in placed]
    return placed if _holds(placed, room, gap) else None


def _solve(
    kinds: Mapping[str, Item],
    wanted: Mapping[str, int],
    height: float,
    gap: float,
    seconds: int,
    seed: int,
) -> Any:  # noqa: ANN401 - the library's own record
    import spyrrow  # noqa: PLC0415 - loaded only when it is wanted

    pieces = [
        spyrrow.Item(
            piece,
            [(float(x), float(y)) for x, y in holding_polygon(item.outline)],
            demand=wanted[piece],
            allowed_orientations=_orientations(item),
        )
        for piece, item in kinds.items()
    ]
    instance = spyrrow.StripPackingInstance("", strip_height=height, items=pieces)
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        min_items_separation=gap + _MARGIN,
        total_computation_time=seconds,
        num_workers=1,
        seed=seed,
    )
    return instance.solve(config)


def _orientations(item: Item) -> list[float]:
    stated = item.stated_turns_deg
    if stated is not None:
        return list(stated)
    turns = candidate_turns(item)
    return sorted({*turns, *((turn + _HALF_TURN) % 360.0 for turn in turns)})


def _pushed_in(each: Placed, room: WorkArea) -> Placed:
    """Return a piece moved by rounding's worth into the room."""
    box, limit = each.variant.outline.bounds, room.bounds
    x = max(each.x, limit.left - box.left)
    y = min(max(each.y, limit.bottom - box.bottom), limit.top - box.top)
    if not room.open_right:
        x = min(x, limit.right - box.right)
    return Placed(each.piece, each.variant, x, y) if _near(each, x, y) else each


def _near(each: Placed, x: float, y: float) -> bool:
    return math.hypot(x - each.x, y - each.y) < _MARGIN


def _holds(placed: Sequence[Placed], room: WorkArea, gap: float) -> bool:
    """Tell whether nothing overlaps, comes nearer than the gap or leaves the room."""
    outlines = []
    for each in placed:
        if not room.open_right:
            region = inner_fit(room, each.variant.outline)
            if not bool(shapely.intersects_xy(region, each.x, each.y)):
                return False
        outlines.append(each.placement.move.outline(each.variant.base))
    boxes = np.array(
        [
            shapely.box(o.bounds.left - gap, o.bounds.bottom - gap, o.bounds.right, o.bounds.top)
            for o in outlines
        ]
    )
    first, second = shapely.STRtree(boxes).query(boxes)
    return all(
        separation(outlines[a], outlines[b], enough=gap + 1.0) > max(gap, LAYOUT_ACCURACY)
        for a, b in zip(first.tolist(), second.tolist(), strict=True)
        if a < b
    )
