"""The pieces of one kind on a load, turned together so that more of their edges meet others."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.layout.item import Filling, Item
from geometry.layout.objective import cut_length, placement_bounds
from geometry.layout.rows.row_patterns import turns_too
from geometry.layout.task import Task
from geometry.model.placement import Placement
from geometry.model.transform import Rigid
from geometry.tolerance import LAYOUT_ACCURACY

_HALF_TURN = 180.0
#: A cut shorter by less than this is the same, mm.
_SAME = 1e-3
#: Pieces above which nothing is turned: what it saves is a row's edge.
_MAX_PIECES = 200


def turned_to_meet(task: Task, placements: Filling) -> Filling:
    """Return a load of several kinds with each kind turned by half a turn where that cuts less.

    A row of 13 triangles has seven edges on one side and six on the other: those seven shall lie
    on the squares beside it. Each kind stays in its box, so the load takes the same strip.
    """
    kinds = [item for item in task.items if any(each.piece == item.piece for each in placements)]
    if len(kinds) < 2 or len(placements) > _MAX_PIECES:  # noqa: PLR2004
        return placements
    if not task.common_line or not task.room.is_rectangle:
        return placements
    best, least = placements, cut_length(placements, task.outlines)
    for item in kinds:
        if not turns_too(item, _HALF_TURN) or not _lies_apart(best, item, task):
            continue
        turned = _turned(best, item, task)
        length = cut_length(turned, task.outlines)
        if length < least - _SAME:
            best, least = turned, length
    return best


def _lies_apart(placements: Sequence[Placement], item: Item, task: Task) -> bool:
    """Return whether no other piece reaches into the box of a kind."""
    box = placement_bounds([each for each in placements if each.piece == item.piece], task.outlines)
    others = [
        placement_bounds([each], task.outlines) for each in placements if each.piece != item.piece
    ]
    return all(
        other.right <= box.left + LAYOUT_ACCURACY
        or other.left >= box.right - LAYOUT_ACCURACY
        or other.top <= box.bottom + LAYOUT_ACCURACY
        or other.bottom >= box.top - LAYOUT_ACCURACY
        for other in others
    )


def _turned(placements: Sequence[Placement], item: Item, task: Task) -> Filling:
    """Return the placements with those of a kind turned about the middle of their box."""
    box = placement_bounds([each for each in placements if each.piece == item.piece], task.outlines)
    across, up = box.left + box.right, box.bottom + box.top
    return tuple(
        Placement(
            each.piece,
            Rigid(
                (each.move.turn_deg + _HALF_TURN) % 360.0,
                across - each.move.x,
                up - each.move.y,
                each.move.mirrored,
            ),
        )
        if each.piece == item.piece
        else each
        for each in placements
    )
