"""Sheets of paper on which pieces lie whole; what is larger than a sheet is joined from several.

The joins of a grid of sheets over a bed would cut through pieces wherever they fall.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from adapters.pages import MAX_PAGES, BedPage, pages_over, touches
from geometry.model.plan import CutPlan
from geometry.model.segments import Bounds

#: Larger than a sheet by less than this, mm, is not larger.
_SAME = 1e-6
Size = tuple[float, float]


@dataclass(frozen=True)
class PrintedPage:
    """A sheet: the part of the bed that it shows, and which groups of strokes are on it.

    ``groups`` is ``None`` for all that the part touches; ``is_joined`` says that the sheet is one
    of several that are joined.
    """

    page: BedPage
    groups: frozenset[int] | None = None
    is_joined: bool = False

    def has(self, group: int) -> bool:
        """Return whether a group of strokes may be on the sheet."""
        return self.groups is None or group in self.groups

    def drawn(self, groups: Sequence[int] | None, boxes: Sequence[Bounds]) -> list[int]:
        """Return which strokes are drawn on the sheet, by their groups and boxes."""
        return [
            index
            for index, box in enumerate(boxes)
            if touches(self.page.part, box) and (groups is None or self.has(groups[index]))
        ]


@dataclass
class _Sheets:
    """The sheets that were found so far, and the groups that still have none."""

    boxes: Mapping[int, Bounds]
    size: Size
    found: list[PrintedPage] = field(default_factory=list)
    done: set[int] = field(default_factory=set)

    def add(self, page: BedPage, groups: set[int], *, is_joined: bool) -> None:
        self.found.append(PrintedPage(page, frozenset(groups), is_joined))
        self.done |= groups

    def left(self) -> list[int]:
        return [group for group in self.boxes if group not in self.done]


def groups_of(plan: CutPlan) -> list[int] | None:
    """Return the group of each stroke, one for each placed piece.

    Shape:
        ``None`` where a stroke is of no piece, as a line is that neighbours share.
    """
    groups = [-1 if stroke.placement is None else stroke.placement for stroke in plan.strokes]
    return None if -1 in groups else groups


def boxes_of(groups: Sequence[int], boxes: Sequence[Bounds], half: float) -> dict[int, Bounds]:
    """Return the box of each group of strokes, with half the width of their lines."""
    found: dict[int, list[Bounds]] = {}
    for group, box in zip(groups, boxes, strict=True):
        found.setdefault(group, []).append(box)
    around = {group: Bounds.around(some) for group, some in found.items()}
    return {
        group: Bounds(box.left - half, box.bottom - half, box.right + half, box.top + half)
        for group, box in around.items()
    }


def larger_than(boxes: Mapping[int, Bounds], size: Size) -> list[int]:
    """Return the groups that have no room on a sheet."""
    return [
        group
        for group, box in boxes.items()
        if box.width > size[0] + _SAME or box.height > size[1] + _SAME
    ]


def whole_pages(
    boxes: Mapping[int, Bounds], bed: Size, size: Size, overlap: float
) -> list[PrintedPage] | None:
    """Return sheets such that each group lies whole on one of them, if it has room there.

    Args:
        boxes: of all lines of each group, mm.
        bed: width and height, mm.
        size: printable area of a sheet, mm.
        overlap: of sheets that are joined, mm.

    Shape:
        Those that are joined first, then from the top of the bed; ``None`` if there are more than
        a file may have.
    """
    large = larger_than(boxes, size)
    ways = [[large] if large else []]
    if len(large) > 1:
        # One grid for all of them, or one for each.
        ways.append([[each] for each in large])
    laid = [_laid(_Sheets(boxes, size), way, bed, overlap) for way in ways]
    return min((each for each in laid if len(each) <= MAX_PAGES), key=len, default=None)


def _laid(
    sheets: _Sheets, grids: Sequence[Sequence[int]], bed: Size, overlap: float
) -> list[PrintedPage]:
    """Return sheets, with a grid of sheets for each of ``grids``, which are groups of large pieces.

    Stops when there are too many sheets.
    """
    boxes, row = sheets.boxes, 0
    for grid in grids:
        box = Bounds.around(boxes[each] for each in grid)
        count, every = pages_over(box, bed, sheets.size, overlap)
        if count > MAX_PAGES:
            return [PrintedPage(BedPage(1, 1, box))] * count
        tiles = [each for each in every if any(touches(each.part, boxes[one]) for one in grid)]
        for tile in tiles:
            on = {one for one in grid if touches(tile.part, boxes[one])}
            on |= {one for one in sheets.left() if _holds(tile.part, boxes[one])}
            sheets.add(BedPage(row + tile.row, tile.column, tile.part), on, is_joined=True)
        # Rows of two grids are no neighbours.
        row += 1 + max(each.row for each in tiles)
    for at, (part, on) in enumerate(_greedy(sheets), start=1):
        sheets.add(BedPage(row + 2 * at, 1, part), on, is_joined=False)
        if len(sheets.found) > MAX_PAGES:
            break
    return sheets.found


def _greedy(sheets: _Sheets) -> Iterator[tuple[Bounds, set[int]]]:
    """Yield sheets for groups that have none; each takes the topmost and many others with it."""
    boxes, (width, height) = sheets.boxes, sheets.size
    while left := sheets.left():
        first = boxes[min(left, key=lambda each: (-boxes[each].top, boxes[each].left))]
        near = [each for each in left if boxes[each].bottom >= first.top - height - _SAME]
        starts = sorted({boxes[each].left for each in near if boxes[each].left <= first.left})
        on = max(
            (
                {
                    each
                    for each in near
                    if start - _SAME <= boxes[each].left
                    and boxes[each].right <= start + width + _SAME
                }
                for start in starts
                if first.right <= start + width + _SAME
            ),
            key=len,
        )
        box = Bounds.around(boxes[each] for each in on)
        # In the middle of the sheet, where every printer reaches.
        x, y = (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0
        yield Bounds(x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0), on


def _holds(part: Bounds, box: Bounds) -> bool:
    return (
        part.left - _SAME <= box.left
        and box.right <= part.right + _SAME
        and part.bottom - _SAME <= box.bottom
        and box.top <= part.top + _SAME
    )


def page_numbers(numbers: Sequence[int]) -> str:
    """Return page numbers in words, such as ``1 to 4``; they follow on each other."""
    first, last = numbers[0], numbers[-1]
    return f"{first} and {last}" if last == first + 1 else f"{first} to {last}"
