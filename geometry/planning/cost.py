"""What a quilt costs and how long it takes, from prices and speeds that are told."""

from __future__ import annotations

from dataclasses import dataclass

_MINUTE_S, _HOUR_S = 60.0, 3600.0


@dataclass(frozen=True)
class Prices:
    """Prices in any currency; ``None`` where none is told.

    Args:
        fabric: of one step of fabric by the length.
        pre_cut: of one pre-cut piece of fabric.
        sheet: of one sheet of paper or card.
    """

    fabric: float | None = None
    pre_cut: float | None = None
    sheet: float | None = None


@dataclass(frozen=True)
class Bill:
    """What is paid, ``None`` where no price is told.

    ``fabric`` is all fabric by the length.
    """

    fabric: float | None
    pre_cuts: float | None
    sheets: float | None

    @property
    def total(self) -> float:
        """All of it."""
        return (self.fabric or 0.0) + (self.pre_cuts or 0.0) + (self.sheets or 0.0)


def bill(prices: Prices, *, length: float, step: float, pre_cuts: int, sheets: int) -> Bill:
    """Return what materials cost.

    Args:
        prices: that are told.
        length: of all fabric bought by the length, mm.
        step: of fabric that a price is of, mm.
        pre_cuts: pre-cut pieces bought.
        sheets: of paper or card.
    """
    return Bill(
        None if prices.fabric is None else length / step * prices.fabric,
        None if prices.pre_cut is None else pre_cuts * prices.pre_cut,
        None if prices.sheet is None else sheets * prices.sheet,
    )


@dataclass(frozen=True)
class Speeds:
    """How fast one works: pieces basted in an hour, stitches sewn in a minute."""

    pieces_per_hour: float | None = None
    stitches_per_minute: float | None = None


def basting_s(pieces: int, speeds: Speeds) -> float | None:
    """Return the seconds that basting takes, ``None`` when no speed is told."""
    return None if not speeds.pieces_per_hour else pieces / speeds.pieces_per_hour * _HOUR_S


def sewing_s(stitches: int, speeds: Speeds) -> float | None:
    """Return the seconds that sewing takes, ``None`` when no speed is told."""
    if not speeds.stitches_per_minute:
        return None
    return stitches / speeds.stitches_per_minute * _MINUTE_S
