"""The sheets and rolls of a stock, how they are filled, and a layout of an order on them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from geometry.layout.item import Item, Layout
from geometry.model.cutter import WorkArea


@dataclass(frozen=True)
class Rolls:
    """Rolls that loads are drawn off.

    Attributes:
        lengths: what is left on each, mm.
        longest: the most that is drawn off at once, mm.
        around: what a load takes before and behind its outlines, mm.
        plies: lengths of each load, one upon the other.
    """

    lengths: tuple[float, ...]
    longest: float
    around: float
    plies: int = 1


@dataclass(frozen=True)
class StockSheet:
    """One kind of sheet, or of roll, of a stock.

    Attributes:
        room: where outlines may lie on one load of it.
        loads: how many loads it gives; of rolls how many of the greatest length, rounded up.
        cost: what one load of it counts; of a roll nothing.
        cost_per_mm: what a millimetre of a roll counts that is drawn off.
        rolls: what there is of a roll; ``None`` for sheets.
    """

    room: WorkArea
    loads: int
    cost: Fraction = Fraction(0)
    cost_per_mm: Fraction = Fraction(0)
    rolls: Rolls | None = None


class Filler(Protocol):
    """How pieces are laid out on a sheet of the stock, by its number; of a roll on a length."""

    def lay(
        self, items: Sequence[Item], sheet: int, *, quick: bool, length: float | None = None
    ) -> Layout:
        """Return the loads of an order on as many such sheets as it takes.

        Raises:
            DoesNotFit: when a piece is too large.
        """

    def fullest(
        self, item: Item, sheet: int, *, quick: bool, length: float | None = None
    ) -> Layout:
        """Return one load with as many of an item as it holds, or as the whole order asks for.

        Raises:
            DoesNotFit: when not even one fits.
        """


@dataclass(frozen=True)
class StockUse:
    """The loads that are cut from one kind of sheet, by its number."""

    sheet: int
    layout: Layout


@dataclass(frozen=True)
class StockLayout:
    """What is cut from what, and the outlines by piece that the stock has no room for."""

    uses: tuple[StockUse, ...]
    missing: Mapping[str, int]
