"""Lines of a quote: a quantity of something at a price, in decimal numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

DIGITS = 100
"""The largest numbers that a request may state, multiplied, have more digits than usual."""
#: A length that is this little over a whole step, mm, is that step: computed lengths are rounded.
_OVER = 1e-3


@dataclass(frozen=True)
class QuoteLine:
    """One line of a quote; ``price`` is that of ``price_per`` units.

    ``basis`` says of a material what its quantity counts.
    """

    kind: str
    name: str
    quantity: Decimal
    unit: str
    price: Decimal
    price_per: Decimal = Decimal(1)
    run: int | None = None
    basis: str | None = None

    @property
    def amount(self) -> Decimal:
        """Return the price of the quantity, not rounded."""
        return self.quantity * self.price / self.price_per


def in_whole_steps(length: float, step: float) -> Decimal:
    """Return a length in mm, rounded up to whole steps where a material is sold in any."""
    if step:
        length = math.ceil((length - _OVER) / step) * step
    return Decimal(str(round(length, 3)))


@dataclass(frozen=True)
class Rounding:
    """Rounding of amounts to so many decimals of a currency."""

    currency: str
    decimals: int

    def __call__(self, value: Decimal) -> Decimal:
        """Return an amount, rounded."""
        return value.quantize(self._step, rounding=ROUND_HALF_UP)

    def __str__(self) -> str:
        """Return how amounts are rounded, in words."""
        return f"{self._step:f} {self.currency}, halves away from zero; sums are of rounded lines"

    @property
    def _step(self) -> Decimal:
        return Decimal(1).scaleb(-self.decimals)
