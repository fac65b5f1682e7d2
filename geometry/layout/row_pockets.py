"""Small pieces in the pockets that rows of a larger kind leave, within the strip that it takes.

Between octagons in straight rows lie squares on point, and half-square triangles fit between two
octagons and the side of the sheet. What goes there needs no strip of its own.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from geometry.layout.bottom_left import Placed, Side, Variant, distinct, placed_of, put
from geometry.layout.box_rows import plain_strips
from geometry.layout.effort import Budget, Effort
from geometry.layout.item import Filling, Item
from geometry.layout.objective import used_strip
from geometry.layout.one_mixed import blocks_of
from geometry.layout.task import Task, flush
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline

#: Shares of a sheet that differ by less are the same.
_SAME = 1e-7
#: Small pieces, and pieces of the largest kind, up to which pockets are looked at: nothing cuts
#: the first stage short.
_MAX_SMALL, _MAX_LARGE = 40, 60
#: Ways that a small piece may lie, each with an edge along an edge of the rows.
_MAX_WAYS = 16
#: Ways tried beside outlines that have no straight edges, in degrees.
_BESIDE_ARCS = (0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0)


def in_pockets(
    task: Task, wanted: Mapping[str, int], share: float, effort: Effort, budget: Budget
) -> Iterator[tuple[float, Filling]]:
    """Yield all that is wanted on ever shorter strips, and their shares of the sheet.

    The largest kind lies in rows, and all others where they end first, most of them in pockets.

    Args:
        task: what is laid out where.
        wanted: how many of each kind.
        share: of the sheet, that the strips have to stay below.
        effort: how the rows are sought.
        budget: of them.
    """
    here = sorted(
        (item for item in task.items if wanted.get(item.piece)),
        key=lambda item: -area(item.outline),
    )
    if not task.room.is_rectangle or len(here) < 2:  # noqa: PLR2004
        return
    first, *others = here
    count = wanted[first.piece]
    if count > _MAX_LARGE or sum(wanted[item.piece] for item in others) > _MAX_SMALL:
        return
    for from_left, rows in _rows(task, first, count, effort, budget):
        strip = _strip(task.room, share, from_left=from_left)
        if used_strip(rows, task.outlines, task.room).share > share - _SAME:
            continue
        placed = placed_of(rows, dict(task.outlines))
        side = Side.LEFT if from_left else Side.BOTTOM
        edges = _headings(placed)
        for item in others:
            ways, more = _ways(item, edges), wanted[item.piece]
            if (
                put(item.piece, ways, more, strip, placed, gap=task.gap, budget=budget, side=side)
                < more
            ):
                break
        else:
            filling = flush([each.placement for each in placed], task)
            found = used_strip(filling, task.outlines, task.room).share
            if found < share - _SAME:
                share = found
                yield share, filling


def _rows(
    task: Task, item: Item, count: int, effort: Effort, budget: Budget
) -> Iterator[tuple[bool, Filling]]:
    """Yield rows of a kind along both sides of the sheet, and whether they begin at the left."""
    seen = set()
    found = [
        (blocks.from_left, flush(blocks.filling(count), task))
        for blocks in blocks_of(task, item, effort, budget)
        if count <= blocks.fullest
    ]
    for from_left in (True, False):
        plain = plain_strips([item], {item.piece: count}, task.room, task.gap, from_left=from_left)
        found.append((from_left, flush(plain, task) if plain else ()))
    for from_left, rows in found:
        key = from_left, tuple(sorted((round(p.move.x, 4), round(p.move.y, 4)) for p in rows))
        if rows and key not in seen:
            seen.add(key)
            yield from_left, rows


def _strip(room: WorkArea, share: float, *, from_left: bool) -> WorkArea:
    """Return a strip of a sheet, hardly shorter than its share."""
    box = room.bounds
    share -= _SAME
    width, height = (
        (share * box.width, box.height) if from_left else (box.width, share * box.height)
    )
    return WorkArea.rectangle(box.left, box.bottom, width, height)


def _headings(placed: Sequence[Placed]) -> Counter[float]:
    """Return the directions of all straight edges of pieces, and how many edges each has."""
    found: Counter[float] = Counter()
    for way, count in Counter(each.variant for each in placed).items():
        for heading in _edges(way.outline):
            found[heading] += count
    return found


def _edges(outline: Outline) -> list[float]:
    return [
        round(math.degrees(part.start_heading) % 360.0, 6) % 360.0
        for part in outline.segments
        if not part.bulge
    ]


def _ways(item: Item, edges: Counter[float]) -> tuple[Variant, ...]:
    """Return the ways an item may lie with an edge along one of others, most of these first."""
    stated = item.stated_turns_deg
    found: Counter[float] = Counter()
    if stated is None:
        own = _edges(item.outline)
        for turn in _BESIDE_ARCS if not edges else (0.0, 90.0, 180.0, 270.0):
            found[turn] += 1
        for heading, count in edges.items():
            for edge in own:
                found[round((heading + 180.0 - edge) % 360.0, 6) % 360.0] += count
    turns = stated or sorted(found, key=lambda each: (-found[each], each % 90.0 != 0.0, each))
    return distinct(item, turns, _MAX_WAYS)
