"""Cost and working time of a quilt, from stated prices and speeds."""

from __future__ import annotations

from dataclasses import dataclass

_MINUTE_S, _HOUR_S = 60.0, 3600.0


@dataclass(frozen=True)
class Prices:
    """Prices in any currency; ``None`` if not stated.

    Args:
        fabric: price of one step of fabric by the length.
        pre_cut: price of one pre-cut piece of fabric.
        sheet: price of one sheet of paper or card.
    """

    fabric: float | None = None
    pre_cut: float | None = None
    sheet: float | None = None


@dataclass(frozen=True)
class Bill:
    """The cost of materials, ``None`` where no price is stated.

    ``fabric`` is all fabric by the length.
    """

    fabric: float | None
    pre_cuts: float | None
    sheets: float | None

    @property
    def total(self) -> float:
        """Return the total."""
        return (self.fabric or 0.0) + (self.pre_cuts or 0.0) + (self.sheets or 0.0)


def bill(prices: Prices, *, length: float, step: float, pre_cuts: int, sheets: int) -> Bill:
    """Return the cost of materials.

    Args:
        prices: the stated prices.
        length: length of all fabric bought by the length, mm.
        step: length of fabric for one price, mm.
        pre_cuts: number of pre-cut pieces.
        sheets: number of sheets of paper or card.
    """
    return Bill(
        None if prices.fabric is None else length / step * prices.fabric,
        None if prices.pre_cut is None else pre_cuts * prices.pre_cut,
        None if prices.sheet is None else sheets * prices.sheet,
    )


@dataclass(frozen=True)
class Speeds:
    """Working speeds: pieces basted per hour, stitches sewn per minute."""

    pieces_per_hour: float | None = None
    stitches_per_minute: float | None = None


def basting_s(pieces: int, speeds: Speeds) -> float | None:
    """Return the seconds that basting takes, or ``None`` without a speed."""
    return None if not speeds.pieces_per_hour else pieces / speeds.pieces_per_hour * _HOUR_S


def sewing_s(stitches: int, speeds: Speeds) -> float | None:
    """Return the seconds that sewing takes, or ``None`` without a speed."""
    if not speeds.stitches_per_minute:
        return None
    return stitches / speeds.stitches_per_minute * _MINUTE_S
