"""Two blocks of rows of one kind beside each other on one low strip of a sheet.

Blocks that follow each other along the sheet leave over what their rows do not reach of the strip's
length. Beside each other, each as high as the strip, rows and columns together can fill it: 7
rectangles of 5 by 2 on a strip 12 long lie on 6 by 12, 6 of them in rows and one upright.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.layout.effort import Budget
from geometry.layout.item import Filling
from geometry.layout.rows.row_blocks import RowBlocks, lengths_of
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.staircases import shortest_of_two
from geometry.layout.strips.low_strips import first_strip, lower_strips
from geometry.model.cutter import WorkArea

#: Patterns whose blocks are looked at, and steps for one of them on one strip. Own measurement.
_PATTERNS, _STEPS_PER_PATTERN = 24, 0.3
#: Halvings of a strip's height.
_HALVINGS = 14
#: Shares that differ by less are the same strip.
_SAME = 1e-9
#: Blocks that are longer than the strip by more do not go on it, whatever the rounding, mm.
_SURELY = 2.0 * SLACK


@dataclass(frozen=True)
class MeasuredStrip:
    """A strip of a sheet, and how long the block of each way and number of pieces is on it, mm."""

    strip: WorkArea
    lengths: Values


def first_strips(
    pairs: Sequence[RowBlocks], count: int, share: float, *, left_only: bool
) -> list[MeasuredStrip | None]:
    """Return the first strip that is tried along each side, all measured at once.

    Mostly they are the only ones. ``None`` where none is tried; arguments are those of
    ``blocks_on_strips``.
    """
    tried = [blocks for blocks in pairs if _are_beside(blocks, left_only=left_only)]
    strips = {
        blocks.from_left: first_strip(blocks.room, share, from_left=blocks.from_left)
        for blocks in tried
    }
    ways = [(way, strips[blocks.from_left]) for blocks in tried for way in blocks.ways[:_PATTERNS]]
    lengths = lengths_of([way for way, _ in ways], [strip for _, strip in ways], count)
    found: list[MeasuredStrip | None] = []
    begin = 0
    for blocks in pairs:
        strip = strips.get(blocks.from_left)
        if strip is None:
            found.append(None)
            continue
        end = begin + len(blocks.ways[:_PATTERNS])
        found.append(MeasuredStrip(strip, lengths[begin:end]))
        begin = end
    return found


def blocks_on_strips(
    blocks: RowBlocks,
    count: int,
    share: float,
    *,
    first: MeasuredStrip | None,
    left_only: bool,
    budget: Budget,
) -> Iterator[tuple[float, Filling]]:
    """Yield so many pieces in two blocks on ever less of a sheet, each with its share of it.

    Args:
        blocks: patterns of rows, of which blocks are made along one side of the sheet.
        count: how many.
        share: of the sheet, that the least strip known takes.
        first: a strip that is measured already.
        left_only: whether only strips from the left are wanted.
        budget: pays for every pattern laid.

    Raises:
        SearchEnded: when the budget is spent.
    """
    after = float(blocks.lengths[count]) / blocks.side
    if after < share - _SAME and (blocks.from_left or not left_only):
        share = after
        yield share, blocks.filling(count)
    if _are_beside(blocks, left_only=left_only):
        yield from _beside(blocks, count, share, first, budget)


def _are_beside(blocks: RowBlocks, *, left_only: bool) -> bool:
    """Return whether blocks beside each other are wanted along a side.

    Blocks that follow each other from the left lie beside each other on the lower side's strip.
    """
    return not (blocks.from_left and left_only)


def _beside(
    blocks: RowBlocks, count: int, share: float, first: MeasuredStrip | None, budget: Budget
) -> Iterator[tuple[float, Filling]]:
    """Yield so many pieces on ever lower strips, each with its share of the sheet."""
    ways = blocks.ways[:_PATTERNS]

    def on_strip(strip: WorkArea) -> Filling | None:
        budget.spend(_STEPS_PER_PATTERN * len(ways))
        if first is not None and strip == first.strip:
            lengths = first.lengths
        else:
            lengths = lengths_of(ways, [strip] * len(ways), count)
        least = shortest_of_two(lengths.min(axis=0), count, blocks.gap)
        if least > blocks.side + _SURELY:
            return None
        pair = RowBlocks(blocks.item, strip, ways, count, blocks.gap, lengths)
        return None if pair.lengths[count] > pair.side + SLACK else pair.filling(count)

    items, wanted = [blocks.item], {blocks.item.piece: count}
    yield from lower_strips(
        items, wanted, blocks.room, share, on_strip, from_left=blocks.from_left, halvings=_HALVINGS
    )
