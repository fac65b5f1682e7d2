"""What is laid out where, and what the stages of a search know of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from geometry.layout.cut_lines import cut_line
from geometry.layout.effort import Effort
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.item import Filling, Item
from geometry.layout.objective import Score, placement_bounds, score
from geometry.layout.rows.row_blocks import RowBlocks
from geometry.layout.strips.strips import KnownStrip
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement, shifted

Loads = tuple[Load, ...]


@dataclass
class Task:
    """What is laid out where, and what earlier stages know.

    Attributes:
        common_line: whether the shorter cut is better where layouts are alike otherwise.
        known: the fullest filling of each kind.
        alone: the best loads of each kind by itself, of those that fill more than one.
        strips: of rows, by the kind and the number of pieces.
        lowest_rows: the fillings of the least strips of a bed of another shape that the first stage
            finds, by the kind, the number of pieces and the effort.
        blocks: of rows, by the kind and the effort, along both sides of the sheet.
        grids: loads of several kinds on cells of one grid, by the effort and what is wanted.
        pockets: loads with small pieces in pockets of rows, by what is wanted; nothing where others
            are shorter.
        clear: the clear rectangle of a bed of another shape in which most was gained.
        lowest: the loads of the first stage, each where it takes the least of such a bed.
        sets_on_one: whole sets that a load holds.
        max_loads: with more loads than this the caller has no use for a layout, so none is looked
            for that takes less material; ``None`` where every layout is of use.
    """

    items: Sequence[Item]
    room: WorkArea
    gap: float
    seed: int
    common_line: bool = False
    known: dict[str, Filling] = field(default_factory=dict)
    alone: dict[str, Loads] = field(default_factory=dict)
    strips: dict[tuple[str, int], KnownStrip] = field(default_factory=dict)
    lowest_rows: dict[tuple[str, int, Effort], Filling] = field(default_factory=dict)
    blocks: dict[tuple[str, str], list[RowBlocks]] = field(default_factory=dict)
    grids: dict[tuple[str, float, tuple[tuple[str, int], ...]], list[Placed] | None] = field(
        default_factory=dict
    )
    pockets: dict[tuple[tuple[str, int], ...], Filling] = field(default_factory=dict)
    clear: WorkArea | None = None
    lowest: Loads = ()
    sets_on_one: int = 0
    max_loads: int | None = None

    def score(self, loads: Loads) -> Score:
        """Return what a layout of the whole order is judged by."""
        wanted = sum(item.quantity for item in self.items)
        lines = self.lines if self.common_line else None
        return score(loads, self.outlines, self.room, wanted, lines)

    @property
    def outlines(self) -> Mapping[str, Outline]:
        """Outlines by piece."""
        return {item.piece: item.outline for item in self.items}

    @property
    def lines(self) -> Mapping[str, Outline]:
        """Lines by piece that are cut once where those of two pieces meet."""
        return {item.piece: cut_line(item.outline, self.gap) for item in self.items}

    def on(self, room: WorkArea) -> Task:
        """Return the same order on another sheet."""
        own = Task(
            self.items, room, self.gap, self.seed, self.common_line, max_loads=self.max_loads
        )
        if room is self.room:
            # They are of the same pieces on the same sheet, however many of them are wanted.
            own.lowest_rows = self.lowest_rows
        return own

    def is_of_use(self, loads: int) -> bool:
        """Return whether the caller has a use for a layout with so many loads."""
        return self.max_loads is None or loads <= self.max_loads


def load_count(loads: Sequence[Load]) -> int:
    """Return how many loads there are, repeats counted."""
    return sum(load.repeats for load in loads)


def flush(placements: Sequence[Placement], task: Task) -> Filling:
    """Return the placements moved together into the lower left corner of a rectangle."""
    if not task.room.is_rectangle:
        return tuple(placements)
    used, whole = placement_bounds(placements, task.outlines), task.room.bounds
    dx, dy = whole.left - used.left, whole.bottom - used.bottom
    return shifted(placements, dx, dy) if dx or dy else tuple(placements)
