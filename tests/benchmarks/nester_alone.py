"""What the layouts are measured against: the nester alone by its own clock, and straight rows."""

from __future__ import annotations

import math
import time
from collections.abc import Mapping, Sequence
from typing import Any

import spyrrow

from geometry.layout import Item
from geometry.layout.bound import grown_area, room_area
from geometry.layout.fitting.soundness import is_sound
from geometry.layout.nesting.nester import placed_of, question_of
from geometry.layout.rows.row_laying import count_of, lay
from geometry.layout.rows.row_units import UnitShape, units_of
from geometry.layout.rows.stacks import refined, stacks
from geometry.model.cutter import WorkArea
from tests.benchmarks.layout_cases import GAP


def straight(item: Item, room: WorkArea) -> int:
    """Return the pieces of the best plain rows, all one way up."""
    box, most = room.bounds, 0
    for turn in (0.0, 90.0):
        shape = UnitShape(item.outline, GAP)
        unit = next(iter(units_of(shape, turn, half_turns=False)))
        for stack in stacks(shape, unit, half_turns=False):
            fine = refined(stack)
            if fine is not None:
                most = max(most, count_of(lay(fine, box.width, box.height)))
    return most


class Alone:
    """The nester as anyone would use it: one thread, so many seconds for each question.

    The library stops by the clock. On a busy machine its clock is stretched by what the question
    before it lacked, so that it has its seconds of processor time all the same.
    """

    def __init__(self) -> None:
        self._stretch = 1.0

    def holds(
        self, items: Sequence[Item], wanted: Mapping[str, int], room: WorkArea, seconds: int
    ) -> bool:
        """Return whether everything fits into the room."""
        kinds = {item.piece: item for item in items if wanted.get(item.piece, 0) > 0}
        asked = question_of(kinds, wanted, room, GAP, 1, 0.0)
        found = self._solved(asked, seconds, early_termination=True)
        if found.width > room.bounds.width + 1e-6:
            return False
        rows = [(each.id, *each.translation, each.rotation) for each in found.placed_items]
        return is_sound(placed_of(rows, kinds, room), room, GAP)

    def length(self, items: Sequence[Item], room: WorkArea, seconds: float, seed: int) -> float:
        """Return the length of roll on which it lays everything, edge to edge."""
        wanted = {item.piece: item.quantity for item in items}
        asked = question_of({item.piece: item for item in items}, wanted, room, 0.0, seed, 0.0)
        return float(self._solved(asked, seconds, early_termination=False).width)

    def _solved(
        self,
        asked: Mapping[str, Any],
        seconds: float,
        *,
        early_termination: bool,
    ) -> spyrrow.StripPackingSolution:
        """Return what it answers after so much processor time, or as soon as it ends by itself."""
        instance = spyrrow.StripPackingInstance(
            "", strip_height=asked["height"], items=[spyrrow.Item(*row) for row in asked["items"]]
        )
        config = spyrrow.StripPackingConfig(
            early_termination=early_termination,
            min_items_separation=asked["gap"],
            total_computation_time=max(1, round(seconds * self._stretch)),
            num_workers=1,
            seed=asked["seed"],
        )
        wall, busy = time.monotonic(), time.process_time()
        found = instance.solve(config)
        wall, busy = time.monotonic() - wall, time.process_time() - busy
        if wall > 0.5:
            self._stretch = min(5.0, max(1.0, wall / max(busy, 0.05)))
        return found

    def one_kind(self, item: Item, room: WorkArea, budget: int) -> int:
        """Return the most pieces of one kind that it was seen to get into a room."""
        box = room.bounds
        turned = WorkArea.rectangle(0, 0, box.height, box.width)
        limit = math.floor(room_area(room, GAP) / grown_area(item.outline, GAP) + 1e-9)
        if limit < 1:
            return 0
        low, high, spent = 0, limit + 1, 0
        guess = max(1, math.floor(0.85 * limit))
        share = max(1, budget // 6)
        while high - low > 1 and spent + share <= budget:
            frame = (room, turned)[(spent // share) % 2] if high - low < 4 else room
            spent += share
            if self.holds([item], {item.piece: guess}, frame, share):
                low = guess
            else:
                high = guess
            guess = (low + high) // 2
        return low

    def loads(self, items: list[Item], room: WorkArea, budget: int) -> int:
        """Return the loads of a mixed kit that it takes, large pieces first."""
        order = [item.piece for item in items for _ in range(item.quantity)]
        sizes = {item.piece: grown_area(item.outline, GAP) for item in items}
        order.sort(key=lambda piece: (-sizes[piece], piece))
        loads, share = 0, max(1, budget // 8)
        while order:
            loads += 1
            low, high = 0, len(order)
            while high > low and sum(sizes[p] for p in order[:high]) > room_area(room, GAP):
                high -= 1
            for attempt in range(4):
                middle = high if attempt == 0 else (low + high + 1) // 2
                wanted = {piece: order[:middle].count(piece) for piece in sizes}
                if self.holds(items, wanted, room, share):
                    low = middle
                else:
                    high = middle - 1
                if low >= high:
                    break
            order = order[max(low, 1) :]
        return loads
