"""How far pieces on neighbouring motifs of a print overlap, where they are a little too large."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.item import Item
from geometry.layout.motifs.motif_conflicts import overlap
from geometry.layout.motifs.on_motifs import MotifTask, placed_on, way_on
from geometry.model.cutter import WorkArea

#: Motifs beside one: of the next column either way, which may be moved up by nearly a repeat.
_COLUMNS, _ROWS = (-1, 0, 1), (-2, -1, 0, 1, 2)
#: Pieces that are too large by more than this share of the repeat are meant to cover more of it.
_SLIGHT = 0.1


def slight_overlaps(task: MotifTask) -> dict[str, float]:
    """Return by how much pieces on neighbouring motifs overlap, or come too near, mm.

    Shape:
        By piece, without those that lie on every motif, and those that are far too large for it.
        So much smaller both ways, they would lie on every motif.
    """
    repeat = task.cloth.repeat
    stretch = abs(task.cloth.lies.determinant) ** 0.5
    slight = _SLIGHT * min(repeat.width, repeat.height) * stretch
    found = {}
    for item in task.items:
        if item.piece not in task.anchors:
            continue
        largest = max(
            (
                overlap(one, other, task.gap)
                for one, other in _neighbours(task, item)
                if _has_both(task.room, one, other)
            ),
            default=0.0,
        )
        if 0.0 < largest <= slight:
            found[item.piece] = largest
    return found


def _neighbours(task: MotifTask, item: Item) -> Iterator[tuple[Placed, Placed]]:
    """Yield a piece on each motif of a repeat, with one on each motif beside it."""
    cloth, anchor = task.cloth, task.anchors[item.piece]
    numbers = range(len(cloth.repeat.positions))
    ways = [way_on(cloth.at(0, 0, number), item, anchor, cloth) for number in numbers]

    def on(column: int, row: int, number: int) -> Placed | None:
        way = ways[number]
        motif = cloth.at(column, row, number)
        return None if way is None else placed_on(motif, item, anchor, way)

    for number, column, row, beside in product(numbers, _COLUMNS, _ROWS, numbers):
        one, other = on(0, 0, number), on(column, row, beside)
        if (column, row, beside) != (0, 0, number) and one is not None and other is not None:
            yield one, other


def _has_both(room: WorkArea, one: Placed, other: Placed) -> bool:
    """Return whether a room is as large as two pieces with their distance."""
    boxes = [each.variant.outline.bounds for each in (one, other)]
    across, along = abs(other.x - one.x), abs(other.y - one.y)
    width = room.longest if room.open_right else room.bounds.width
    return across + min(each.width for each in boxes) <= width and (
        along + min(each.height for each in boxes) <= room.bounds.height
    )
