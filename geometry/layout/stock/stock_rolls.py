"""Lengths drawn off the rolls of a stock, each roll down to its end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.item import Item, Layout
from geometry.layout.objective import placement_bounds
from geometry.layout.stock.stock_loads import joined, kept_loads, placed_on, repeated
from geometry.layout.stock.stock_sheets import Filler, Rolls, StockSheet
from geometry.model.outline import Outline
from geometry.model.placement import Load

#: A length that is short by less than this, mm, is long enough.
_ROUNDING = 1e-6
#: More outlines than any rolls hold.
_UNLIMITED = 1_000_000_000


@dataclass
class Rests:
    """What is left on rolls while lengths are drawn off them.

    Attributes:
        rolls: the rolls as they are at first.
    """

    rolls: Rolls
    _left: dict[float, int] = field(init=False)

    def __post_init__(self) -> None:
        """Begin with whole rolls."""
        self._left = {}
        for length in self.rolls.lengths:
            self._left[length] = self._left.get(length, 0) + 1

    @property
    def lengths(self) -> list[float]:
        """Return what is left on each roll, the shortest first."""
        return [length for length, count in sorted(self._left.items()) for _ in range(count)]

    @property
    def longest(self) -> float:
        """Return the longest load that can still be drawn off, mm: one length for every ply."""
        plies = self.rolls.plies
        found = [
            length / parts
            for length in self._left
            for parts in range(1, plies + 1)
            if self._count(length / parts) >= plies
        ]
        return min(self.rolls.longest, max(found, default=0.0))

    def take(self, length: float, loads: int) -> int:
        """Draw off as many of so many loads as there is length for; return how many.

        The shortest rest that is long enough is used first, so that no roll is begun in vain.
        """
        taken = min(loads, self._count(length) // self.rolls.plies)
        wanted = taken * self.rolls.plies
        for rest in sorted(self._left):
            parts = _parts(rest, length)
            while wanted and parts and self._left.get(rest):
                off = min(parts, wanted)
                rolls = min(self._left[rest], wanted // off)
                self._move(rest, max(0.0, rest - off * length), rolls)
                wanted -= off * rolls
        return taken

    def _move(self, rest: float, new: float, rolls: int) -> None:
        self._left[rest] -= rolls
        if not self._left[rest]:
            del self._left[rest]
        self._left[new] = self._left.get(new, 0) + rolls

    def _count(self, length: float) -> int:
        return sum(_parts(rest, length) * count for rest, count in self._left.items())


def _parts(rest: float, length: float) -> int:
    """Return how many lengths a rest gives."""
    return int((rest + _ROUNDING) // length) if length > 0.0 else 0


def rests_of(rolls: Rolls, drawn: Sequence[tuple[float, int]]) -> Rests | None:
    """Return what rolls leave of loads, by length and repeats; ``None`` where they hold fewer."""
    rests = Rests(rolls)
    for length, repeats in sorted(drawn, reverse=True):
        if rests.take(length, repeats) < repeats:
            return None
    return rests


def length_of(load: Load, sheet: StockSheet, outlines: Mapping[str, Outline]) -> float:
    """Return what a load draws off a roll, margins included, mm."""
    end = placement_bounds(load.placements, outlines).right
    around = 0.0 if sheet.rolls is None else sheet.rolls.around
    return end - sheet.room.bounds.left + around


@dataclass(frozen=True)
class _Source:
    """A kind of roll in a stock, by its number, and how it is filled."""

    sheet: StockSheet
    rolls: Rolls
    number: int
    filler: Filler
    quick: bool

    def lay(self, items: Sequence[Item], longest: float) -> Layout:
        return self.filler.lay(items, self.number, quick=self.quick, length=longest)

    def full(self, item: Item, longest: float) -> Layout:
        """Return full loads of one kind; where a load holds all of it, that one."""
        full = self.filler.fullest(item, self.number, quick=self.quick, length=longest)
        held = len(full.loads[0].placements)
        return repeated(full, held, max(item.quantity // held * held, min(item.quantity, held)))


def off_rolls(
    items: Sequence[Item],
    sheet: StockSheet,
    number: int,
    filler: Filler,
    *,
    quick: bool,
    sets: bool = False,
    fills: bool = False,
) -> Layout | None:
    """Return what the rolls of a stock's entry hold of an order; ``None`` for nothing.

    Loads are as long as the bed allows first. What has then no room is laid out again on ever
    shorter rests.

    Args:
        items: what to place.
        sheet: the entry.
        number: of the entry in its stock.
        filler: lays out single loads.
        quick: whether loads are laid out with little effort.
        sets: whether loads hold whole sets, so that all kinds fit or none does.
        fills: whether the only kind is to fill all rolls, whatever its quantity.
    """
    assert sheet.rolls is not None  # noqa: S101 - the caller has asked
    source = _Source(sheet, sheet.rolls, number, filler, quick)
    if fills:
        items = [replace(item, quantity=_UNLIMITED) for item in items]
    parts = list(_drawn(items, source, sets=sets, fills=fills))
    return joined(parts) if parts else None


def _drawn(items: Sequence[Item], source: _Source, *, sets: bool, fills: bool) -> Iterator[Layout]:
    """Yield loads, in the order in which they are drawn off."""
    rests, wanted = Rests(source.rolls), list(items)
    outlines = {item.piece: item.outline for item in items}
    while wanted and rests.longest > source.rolls.around:
        try:
            layout = _loads(wanted, source, rests, outlines, fills=fills)
        except DoesNotFit as error:
            # Rests only become shorter: that piece has no room on any later one either.
            wanted = [] if sets else [item for item in wanted if item.piece != error.piece]
            continue
        lengths = [length_of(load, source.sheet, outlines) for load in layout.loads]
        kept = {
            load: taken
            for load in sorted(range(len(lengths)), key=lambda at: -lengths[at])
            if (taken := rests.take(lengths[load], layout.loads[load].repeats))
        }
        if not kept:
            return
        found = kept_loads(layout, kept)
        yield found
        wanted = _without(wanted, found)


def _loads(
    wanted: Sequence[Item],
    source: _Source,
    rests: Rests,
    outlines: Mapping[str, Outline],
    *,
    fills: bool,
) -> Layout:
    """Return loads that are as long as the rests allow.

    Raises:
        DoesNotFit: when a piece is too large for them.
    """
    if fills:
        return source.full(wanted[0], rests.longest)
    layout = source.lay(wanted, rests.longest)
    if len(wanted) > 1:
        return layout
    trial = replace(source.rolls, lengths=tuple(rests.lengths))
    drawn = [(length_of(load, source.sheet, outlines), load.repeats) for load in layout.loads]
    # Loads of one size leave rests of no use: where not all have room, full ones hold most.
    return layout if rests_of(trial, drawn) else source.full(wanted[0], rests.longest)


def _without(wanted: Sequence[Item], layout: Layout) -> list[Item]:
    """Return what is still to be placed after a layout."""
    placed = placed_on(layout)
    left = [replace(item, quantity=item.quantity - placed.get(item.piece, 0)) for item in wanted]
    return [item for item in left if item.quantity > 0]
