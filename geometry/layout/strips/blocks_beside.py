"""Two blocks of rows of one kind beside each other on one low strip of a sheet.

Blocks that follow each other along the sheet leave over what their rows do not reach of the strip's
length. Beside each other, each as high as the strip, rows and columns together can fill it: 7
rectangles of 5 by 2 on a strip 12 long lie on 6 by 12, 6 of them in rows and one upright.
"""

from __future__ import annotations

from collections.abc import Iterator

from geometry.layout.effort import Budget
from geometry.layout.item import Filling
from geometry.layout.rows.row_blocks import RowBlocks
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.strips.low_strips import lower_strips
from geometry.model.cutter import WorkArea

#: Patterns whose blocks are looked at, and steps for one of them on one strip. Own measurement.
_PATTERNS, _STEPS_PER_PATTERN = 24, 0.3
#: Halvings of a strip's height.
_HALVINGS = 14
#: Shares that differ by less are the same strip.
_SAME = 1e-9


def blocks_on_strips(
    blocks: RowBlocks, count: int, share: float, *, left_only: bool, budget: Budget
) -> Iterator[tuple[float, Filling]]:
    """Yield so many pieces in two blocks on ever less of a sheet, each with its share of it.

    Args:
        blocks: patterns of rows, of which blocks are made along one side of the sheet.
        count: how many.
        share: of the sheet, that the least strip known takes.
        left_only: whether only strips from the left are wanted.
        budget: pays for every pattern laid.

    Raises:
        SearchEnded: when the budget is spent.
    """
    after = float(blocks.lengths[count]) / blocks.side
    if after < share - _SAME and (blocks.from_left or not left_only):
        share = after
        yield share, blocks.filling(count)
    # Blocks that follow each other from the left lie beside each other on the lower side's strip.
    if not (blocks.from_left and left_only):
        yield from _beside(blocks, count, share, budget)


def _beside(
    blocks: RowBlocks, count: int, share: float, budget: Budget
) -> Iterator[tuple[float, Filling]]:
    """Yield so many pieces on ever lower strips, each with its share of the sheet."""
    ways = blocks.ways[:_PATTERNS]

    def on_strip(strip: WorkArea) -> Filling | None:
        budget.spend(_STEPS_PER_PATTERN * len(ways))
        pair = RowBlocks(blocks.item, strip, ways, count, blocks.gap)
        return None if pair.lengths[count] > pair.side + SLACK else pair.filling(count)

    items, wanted = [blocks.item], {blocks.item.piece: count}
    yield from lower_strips(
        items, wanted, blocks.room, share, on_strip, from_left=blocks.from_left, halvings=_HALVINGS
    )
