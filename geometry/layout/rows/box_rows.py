"""Plain rows: every piece in an upright box of its own, as a person lays them first.

Rows that are moved along until they lie closer may be a piece short where boxes just fit: four
octagons fill a square that holds three of an interlocked pattern.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.fit import candidate_turns
from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.item import Filling, Item
from geometry.layout.rows.box_blocks import BoxBlocks
from geometry.layout.rows.row_figures import Values
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Placement, shifted
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from geometry.tolerance import LAYOUT_ACCURACY

#: Shares and lengths that differ by less are the same.
_SAME = 1e-9


@dataclass(frozen=True)
class _Boxes:
    """Rows of boxes at one turn: as many across and up as a rectangle holds."""

    turn_deg: float
    box: Bounds
    columns: int
    rows: int
    gap: float

    def places(self, item: Item, room: Bounds, count: int, *, from_left: bool) -> Filling:
        """Return so many pieces, row by row from below or column by column from the left.

        Rows are as even as their number allows: 11 and 10 have more edges in common than 20 and 1.
        """
        each = self.rows if from_left else self.columns
        each = math.ceil(count / math.ceil(count / each))
        found = []
        for at in range(count):
            row, column = divmod(at, each)
            if from_left:
                column, row = row, column
            x = room.left - self.box.left + column * (self.box.width + self.gap)
            y = room.bottom - self.box.bottom + row * (self.box.height + self.gap)
            found.append(Placement(item.piece, Rigid(self.turn_deg, x, y)))
        return tuple(found)

    def share(self, room: Bounds, count: int, *, from_left: bool) -> float:
        """Return the share of the rectangle that a number of pieces takes, from a side."""
        each, whole, step = self._steps(room, from_left=from_left)
        return (math.ceil(count / each) * step - self.gap) / whole

    def shares(self, room: Bounds, counts: NDArray[np.int64], *, from_left: bool) -> Values:
        """Return the shares of the rectangle that numbers of pieces take, from a side."""
        each, whole, step = self._steps(room, from_left=from_left)
        shares: Values = (np.ceil(counts / each) * step - self.gap) / whole
        return shares

    def _steps(self, room: Bounds, *, from_left: bool) -> tuple[int, float, float]:
        """Return how many pieces a step holds, how far the steps may go, and how long one is."""
        if from_left:
            return self.rows, room.width, self.box.width + self.gap
        return self.columns, room.height, self.box.height + self.gap


def fullest_boxes(item: Item, room: WorkArea, gap: float) -> Filling:
    """Return the fullest plain rows in a rectangle, row by row; nothing where no piece fits."""
    found = max(_boxes(item, room, gap), key=lambda each: each.columns * each.rows, default=None)
    if found is None:
        return ()
    held, box = found.columns * found.rows, room.bounds
    blocks = _blocks_of(item, room, gap)
    if blocks is not None and blocks.most(box.width + gap, box.height + gap) > held:
        return _in_blocks(item, room, blocks, box.width + gap, box.height + gap)
    return found.places(item, room.bounds, held, from_left=False)


def box_shares(item: Item, room: WorkArea, most: int, gap: float) -> Values:
    """Return the least share of a rectangle that plain rows of 0, 1, 2 ... pieces take.

    Infinite where they do not hold so many.
    """
    counts = np.arange(1, most + 1)
    least = np.full(most + 1, np.inf)
    least[0] = 0.0
    for each in _boxes(item, room, gap):
        held = min(most, each.columns * each.rows)
        for from_left in (False, True):
            shares = each.shares(room.bounds, counts[:held], from_left=from_left)
            least[1 : held + 1] = np.minimum(least[1 : held + 1], shares)
    for share, held, _ in _block_strips(_blocks_of(item, room, gap), room, gap, (False, True)):
        least[1 : held + 1] = np.minimum(least[1 : held + 1], share)
    return least


def shortest_boxes(
    item: Item,
    room: WorkArea,
    count: int,
    gap: float,
    sides: tuple[bool, ...] = (False, True),
    below: float = math.inf,
) -> tuple[float, Filling]:
    """Return plain rows on the shortest strip of a rectangle, and its share; nothing if too many.

    The share is infinite where plain rows do not hold so many. ``sides`` says whether strips
    may lie at the left side (true), at the lower one (false), or at either. Rows that take a share
    of ``below`` or more are not laid.
    """
    ways = [
        (each.share(room.bounds, count, from_left=from_left), number, from_left, each)
        for number, each in enumerate(_boxes(item, room, gap))
        if each.columns * each.rows >= count
        for from_left in sides
    ]
    share = math.inf
    rows: Filling = ()
    if ways:
        share, _, from_left, found = min(ways, key=lambda each: (round(each[0], 9), *each[1:3]))
        if share < below:
            rows = found.places(item, room.bounds, count, from_left=from_left)
    blocks = _blocks_of(item, room, gap)
    less = [
        each
        for each in _block_strips(blocks, room, gap, sides)
        if each[1] >= count and each[0] < share - _SAME
    ]
    if less and blocks is not None:
        share, _, size = min(less)
        rows = _in_blocks(item, room, blocks, *size)[:count] if share < below else ()
    return share, rows


def plain_rows(item: Item, room: WorkArea, count: int, gap: float) -> Filling:
    """Return so many pieces in plain rows on the shortest strip; nothing if too many."""
    return shortest_boxes(item, room, count, gap)[1]


def plain_strips(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    gap: float,
    *,
    from_left: bool,
) -> Filling:
    """Return kinds in plain rows, each on a strip of its own; nothing where they do not all fit."""
    box = room.bounds
    side, start = (box.width if from_left else box.height), 0.0
    found: list[Placement] = []
    for item in items:
        share, rows = shortest_boxes(item, room, wanted[item.piece], gap, (from_left,))
        if start + share * side > side + LAYOUT_ACCURACY / 4.0:
            return ()
        found.extend(shifted(rows, *((start, 0.0) if from_left else (0.0, start))))
        start += share * side + gap
    return tuple(found)


def _blocks_of(item: Item, room: WorkArea, gap: float) -> BoxBlocks | None:
    """Return the blocks of an upright rectangle that may lie and stand; ``None`` of others."""
    box, stated = item.outline.bounds, item.stated_turns_deg
    lies, stands = (
        stated is None or any(each in stated for each in turns)
        for turns in ((0.0, 180.0), (90.0, 270.0))
    )
    if not (item.fills_its_box and lies and stands) or abs(box.width - box.height) < _SAME:
        return None
    found = _known_blocks(box.width, box.height, gap)
    few = all(found.sums(side + gap) for side in (room.bounds.width, room.bounds.height))
    return found if few else None


@lru_cache(maxsize=64)
def _known_blocks(width: float, height: float, gap: float) -> BoxBlocks:
    return BoxBlocks.of(width, height, gap)


def _block_strips(
    blocks: BoxBlocks | None, room: WorkArea, gap: float, sides: tuple[bool, ...]
) -> Iterator[tuple[float, int, tuple[float, float]]]:
    """Yield shares of a rectangle, how many pieces blocks hold there, and the size of the strip."""
    if blocks is None:
        return
    box = room.bounds
    for from_left in sides:
        whole = box.width if from_left else box.height
        for length in blocks.sums(whole + gap)[1:]:
            size = (length, box.height + gap) if from_left else (box.width + gap, length)
            yield (length - gap) / whole, blocks.most(*size), size


def _in_blocks(
    item: Item, room: WorkArea, blocks: BoxBlocks, width: float, height: float
) -> Filling:
    """Return the pieces of blocks in the lower left corner of a rectangle."""
    box = room.bounds
    stated = item.stated_turns_deg
    found = []
    for x, y, stands in blocks.places(width, height):
        turns = (90.0, 270.0) if stands else (0.0, 180.0)
        turn = next(each for each in turns if stated is None or each in stated)
        lone = turned(item.outline, turn).bounds
        move = Rigid(turn, box.left + x - lone.left, box.bottom + y - lone.bottom)
        found.append(Placement(item.piece, move))
    return tuple(found)


def _boxes(item: Item, room: WorkArea, gap: float) -> tuple[_Boxes, ...]:
    """Return rows of boxes at every turn worth trying at which a piece fits."""
    return _boxes_in(item.outline, candidate_turns(item), room.bounds, gap)


@lru_cache(maxsize=64)
def _boxes_in(
    outline: Outline, turns: tuple[float, ...], box: Bounds, gap: float
) -> tuple[_Boxes, ...]:
    found = []
    for turn in turns:
        lone = turned(outline, turn).bounds
        columns, rows = (
            math.floor((whole + gap + LAYOUT_ACCURACY / 4.0) / (part + gap))
            for whole, part in ((box.width, lone.width), (box.height, lone.height))
        )
        if columns and rows:
            found.append(_Boxes(turn, lone, columns, rows, gap))
    return tuple(found)
