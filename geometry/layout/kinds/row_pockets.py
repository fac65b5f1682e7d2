"""Small pieces in the pockets that rows of a larger kind leave, within the strip that it takes.

Between octagons in straight rows lie squares on point, and half-square triangles fit between two
octagons and the side of the sheet. What goes there needs no strip of its own.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, Side, Variant, distinct, placed_of, put
from geometry.layout.grids.grid_before_strip import grid_before_strip
from geometry.layout.item import Filling, Item
from geometry.layout.kinds.one_mixed import blocks_of
from geometry.layout.objective import used_strip
from geometry.layout.rows.box_rows import plain_strips
from geometry.layout.rows.turn_period import turn_period
from geometry.layout.rows.zigzag_rows import zigzag_row
from geometry.layout.task import Task, flush
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline

#: Shares of a sheet that differ by less are the same.
_SAME = 1e-7
#: Pieces of the largest kind, and of all others, up to which pockets are looked at: nothing cuts
#: the first stage short.
_MAX_LARGE, _MAX_SMALL = 60, 40
#: Share of a strip that pieces cover above which no shorter one is sought.
_FULL = 0.95
#: Ways that a small piece may lie, each with an edge along an edge of the rows.
_MAX_WAYS = 16
#: Ways tried beside outlines that have no straight edges, in degrees.
_BESIDE_ARCS = (0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0)
#: Turns at which edges lie along the sides of the sheet.
_QUARTERS = (0.0, 90.0, 180.0, 270.0)


def in_pockets(
    task: Task, wanted: Mapping[str, int], share: float, effort: Effort, budget: Budget
) -> Iterator[tuple[float, Filling]]:
    """Yield all that is wanted on ever shorter strips, and their shares of the sheet.

    The largest kind lies in rows, and all others where they end first, most of them in pockets. Of
    kinds that go on a grid of triangles a few may also lie behind full rows of it.

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
    covered = sum(area(item.outline) * wanted[item.piece] for item in here)
    if covered > _FULL * share * area(task.room.boundary):
        return
    first, *others = here
    small = sum(wanted[item.piece] for item in others)
    if wanted[first.piece] <= _MAX_LARGE and small <= _MAX_SMALL:
        for from_left, rows in _rows(task, first, wanted[first.piece], share, effort, budget):
            filling = _filled_up(task, wanted, others, rows, share, budget, from_left=from_left)
            found = used_strip(filling, task.outlines, task.room).share if filling else share
            if found < share - _SAME:
                share = found
                yield share, filling
    found, filling = grid_before_strip(task, wanted, share, effort)
    if filling:
        yield found, filling


def _filled_up(
    task: Task,
    wanted: Mapping[str, int],
    others: Sequence[Item],
    rows: Filling,
    share: float,
    budget: Budget,
    *,
    from_left: bool,
) -> Filling:
    """Return rows with all other kinds on less than a share of the sheet; nothing if too many."""
    strip = _strip(task.room, share, from_left=from_left)
    placed = placed_of(rows, dict(task.outlines))
    how: dict[str, Any] = {"gap": task.gap, "side": Side.LEFT if from_left else Side.BOTTOM}
    edges = _headings(placed)
    for item in others:
        count = wanted[item.piece]
        done = put(item.piece, _ways(item, edges), count, strip, placed, budget=budget, **how)
        if done < count:
            return ()
    return flush([each.placement for each in placed], task)


def _rows(
    task: Task, item: Item, count: int, share: float, effort: Effort, budget: Budget
) -> Iterator[tuple[bool, Filling]]:
    """Yield rows of a kind on less than a share of the sheet, and whether they begin at the left.

    Along both sides of the sheet: the best ones, plain ones, and one row that zigzags.
    """
    seen = set()
    found = [
        (blocks.from_left, blocks.filling(count))
        for blocks in blocks_of(task, item, effort, budget)
        if count <= blocks.fullest
    ]
    for from_left in (True, False):
        how: dict[str, Any] = {"gap": task.gap, "from_left": from_left}
        found.append((from_left, plain_strips([item], {item.piece: count}, task.room, **how)))
        if effort.loose:
            found.append((from_left, zigzag_row(item, task.room, count, share, **how)))
    for from_left, rows in found:
        if not rows or used_strip(rows, task.outlines, task.room).share > share - _SAME:
            continue
        placed = flush(rows, task)
        places = sorted((round(each.move.x, 4), round(each.move.y, 4)) for each in placed)
        if (from_left, *places) not in seen:
            seen.add((from_left, *places))
            yield from_left, placed


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
    if stated is not None:
        return distinct(item, stated, _MAX_WAYS)
    found: Counter[float] = Counter()
    period, own = turn_period(item.outline), _edges(item.outline)
    found.update({turn % period: 1 for turn in (_QUARTERS if edges else _BESIDE_ARCS)})
    for heading, count in edges.items():
        for edge in own:
            found[round((heading + 180.0 - edge) % period, 6) % period] += count
    turns = sorted(found, key=lambda each: (-found[each], each % 90.0 != 0.0, each))
    return distinct(item, turns, _MAX_WAYS)
