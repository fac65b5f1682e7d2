"""Bands of one kind on a roll, one behind the other, that end in pieces turned otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.layout.bound import grown_area
from geometry.layout.item import Item
from geometry.layout.rolls.roll_bands import KindRows, end_of, ends_of, stretch_of
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Placement, shifted

#: Places from the end at which the rest of a kind is laid again.
_MAX_ENDS = 3
_NEAR = 1e-6


@dataclass(frozen=True)
class Band:
    """One kind of piece on a length of roll.

    Args:
        item: what is placed.
        stretch: the room it was placed in.
        placements: of all its pieces.
        rows: how they were laid.
        before: the shortest rows but these, whose end may be turned with more gain.
    """

    item: Item
    stretch: WorkArea
    placements: tuple[Placement, ...]
    rows: KindRows
    before: tuple[Placement, ...] = ()

    @classmethod
    def laid(cls, item: Item, stretch: WorkArea, rows: KindRows) -> Band:
        """Return the shortest band of a kind.

        Raises:
            DoesNotFit: when the piece is wider than the roll.
            SearchEnded: when the budget is spent.
        """
        *before, shortest = rows.ways(item, stretch)
        return cls(item, stretch, shortest, rows, before[-1] if before else ())

    @property
    def outlines(self) -> dict[str, Outline]:
        """Return the outline by the name of the piece."""
        return {self.item.piece: self.item.outline}

    @property
    def end(self) -> float:
        """Return where it ends along the roll, mm."""
        return end_of(self.placements, self.outlines)

    def from_left(self, left: float) -> Band:
        """Return the band moved along the roll."""
        by = left - self.stretch.bounds.left
        stretch = stretch_of(self.stretch, left, self.stretch.bounds.width)
        placements, before = (shifted(each, by, 0.0) for each in (self.placements, self.before))
        return replace(self, stretch=stretch, placements=placements, before=before)

    def with_turned_end(self) -> Band:
        """Return the band with its last pieces laid in other rows, if it ends sooner then.

        A last row that is not full leaves a gap beside it; its pieces may take less length turned
        otherwise, or in rows of their own.

        Raises:
            SearchEnded: when the budget is spent.
        """
        best = self
        for placements in (self.placements, self.before):
            if placements:
                best = self._turned_after(placements, best)
        return best

    def _turned_after(self, placements: tuple[Placement, ...], best: Band) -> Band:
        """Return the best band, or one of these rows up to one of their ends if that is shorter."""
        gap, ends = self.rows.gap, ends_of(placements, self.outlines)
        each = grown_area(self.item.outline, gap) / (self.stretch.bounds.height + gap)
        least = best.end
        for about in sorted({round(end, 6) for end in ends}, reverse=True)[1 : _MAX_ENDS + 1]:
            cut = max(end for end in ends if end <= about + _NEAR)
            kept = [
                placement for placement, end in zip(placements, ends, strict=True) if end <= cut
            ]
            left = len(ends) - len(kept)
            # No rows of the rest end before its area does.
            if cut + left * each >= least - _NEAR:
                continue
            rest = replace(self.item, quantity=left)
            stretch = stretch_of(self.stretch, cut + gap, self.stretch.bounds.width)
            found = self.rows.shortest(rest, stretch)
            if len(found) == left and end_of(found, self.outlines) < least - _NEAR:
                best = replace(self, placements=(*kept, *found))
                least = best.end
        return best


def with_turned_ends(bands: Sequence[Band], gap: float) -> Iterator[tuple[Placement, ...]]:
    """Yield bands that end sooner with their last pieces in other rows, one behind the other.

    Raises:
        SearchEnded: when the budget is spent.
    """
    left = bands[0].stretch.bounds.left
    found: list[Placement] = []
    for band in bands:
        ended = band.from_left(left).with_turned_end()
        found += ended.placements
        left = ended.end + gap
    yield tuple(found)
