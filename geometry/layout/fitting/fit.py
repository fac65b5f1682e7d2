"""Whether one piece fits into the work area at all, and which turn lets it."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from geometry.errors import GeometryError
from geometry.layout.fitting.holding_polygons import holding_polygon, turned
from geometry.layout.item import Item
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.tolerance import LAYOUT_ACCURACY

#: Turns tried before the best is refined, over a quarter turn.
_TRIES = 360
#: Boxes that are so little larger beside the room come as near to fitting.
_AS_NEAR = 1.0 + 1.0e-9


class DoesNotFit(GeometryError):  # noqa: N818 - it states a fact of the layout
    """A piece is larger than the work area however it is turned.

    ``needed`` and ``available`` are (width, height) in mm, at the turn that comes nearest;
    ``short_by`` is what is missing there, mm; ``largest_scale`` the factor to which the piece
    would have to shrink.
    """

    def __init__(
        self,
        piece: str,
        needed: tuple[float, float],
        available: tuple[float, float],
        largest_scale: float,
    ) -> None:
        self.piece = piece
        self.needed = needed
        self.available = available
        self.short_by = max(needed[0] - available[0], needed[1] - available[1], 0.0)
        self.largest_scale = largest_scale
        super().__init__(f"{piece} does not fit", where=(piece,))


def candidate_turns(item: Item) -> tuple[float, ...]:
    """Return the turns worth trying for an item, degrees, the plain ones first.

    With any turn allowed these are the quarter turns, the turns that lay an edge level or
    upright, and steps of 15 degrees.
    """
    stated = item.stated_turns_deg
    return _plain_turns(item.outline) if stated is None else stated


@lru_cache(maxsize=256)
def _plain_turns(outline: Outline) -> tuple[float, ...]:
    turns = {0.0, 90.0}
    for part in outline.segments:
        if not part.bulge:
            level = -math.degrees(part.start_heading) % 90.0
            turns.update((level, level + 90.0))
    turns.update(15.0 * step for step in range(12))
    return tuple(sorted({round(turn % 180.0, 9) % 180.0 for turn in turns}))


def fits(box: Bounds, area: Bounds) -> bool:
    """Return whether a box fits into the upright rectangle."""
    return (
        box.width <= area.width + LAYOUT_ACCURACY / 4.0
        and box.height <= area.height + LAYOUT_ACCURACY / 4.0
    )


def fitting_turn(item: Item, area: WorkArea) -> float:
    """Return a turn at which one piece fits the work area's box, the plainest that does.

    Raises:
        DoesNotFit: when none does.
    """
    room = area.bounds
    for turn in candidate_turns(item):
        if fits(turned(item.outline, turn).bounds, room):
            return turn
    turn, ratio = _tightest(item, room)
    if fits(turned(item.outline, turn).bounds, room):
        return turn
    box = _least_box(item, room, turn, ratio)
    raise DoesNotFit(item.piece, (box.width, box.height), (room.width, room.height), 1.0 / ratio)


def _least_box(item: Item, room: Bounds, turn: float, ratio: float) -> Bounds:
    """Return the least box of a piece at a turn, or at a plain one that comes as near to fitting.

    An outline with round ends is as long over a range of turns, and narrowest at one of them.
    """
    boxes = [turned(item.outline, each).bounds for each in (turn, *candidate_turns(item))]
    near = [
        box
        for box in boxes
        if max(box.width / room.width, box.height / room.height) <= ratio * _AS_NEAR
    ]
    return min(near, key=lambda box: round(box.width * box.height, 6))


def _tightest(item: Item, room: Bounds) -> tuple[float, float]:
    """Return the turn at which the box is smallest beside the room, and that ratio."""
    stated = item.stated_turns_deg
    if stated is not None:
        ratios = [(_ratio(turned(item.outline, turn), room), turn) for turn in stated]
        ratio, turn = min(ratios)
        return turn, ratio
    hull = holding_polygon(item.outline)
    angles = np.radians(np.arange(2 * _TRIES) * (90.0 / _TRIES))
    widths = np.ptp(np.outer(np.cos(angles), hull[:, 0]) - np.outer(np.sin(angles), hull[:, 1]), 1)
    heights = np.ptp(np.outer(np.sin(angles), hull[:, 0]) + np.outer(np.cos(angles), hull[:, 1]), 1)
    ratios_at = np.maximum(widths / room.width, heights / room.height)
    best = math.degrees(float(angles[int(np.argmin(ratios_at))]))
    # Between two tries the ratio is a maximum of two sine waves: a golden section finds its least.
    low, high = best - 90.0 / _TRIES, best + 90.0 / _TRIES
    share = (math.sqrt(5.0) - 1.0) / 2.0
    for _ in range(48):
        left, right = high - share * (high - low), low + share * (high - low)
        if _ratio(turned(item.outline, left), room) < _ratio(turned(item.outline, right), room):
            high = right
        else:
            low = left
    turn = (low + high) / 2.0
    plain = round(turn, 6)
    if (
        _ratio(turned(item.outline, plain), room)
        <= _ratio(turned(item.outline, turn), room) + 1e-12
    ):
        turn = plain
    return turn % 360.0, _ratio(turned(item.outline, turn), room)


def _ratio(outline: Outline, room: Bounds) -> float:
    box = outline.bounds
    return max(box.width / room.width, box.height / room.height)
