"""Sizes of mattresses, and the quilts that cover them.

Source:
    Width and length in inches as sold in the United States; makers differ by an inch, charts of
    quilts by fifteen, so both are always shown and can be overridden. Crib: 16 CFR 1241 (full-size
    crib interior 28 by 52 3/8 in). Rule: width = mattress + 2 drops, length = mattress + drop +
    pillow tuck.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from geometry.units import MM_PER_INCH

#: Width and length of each mattress, in.
MATTRESSES_IN: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "crib": (28.0, 52.375),
        "twin": (39.0, 75.0),
        "twin_long": (39.0, 80.0),
        "full": (54.0, 75.0),
        "queen": (60.0, 80.0),
        "king": (76.0, 80.0),
        "california_king": (72.0, 84.0),
    }
)
#: Default drop, in; a crib's quilt has none.
USUAL_DROP_IN: Final = 12.0


def mattress(bed: str) -> tuple[float, float]:
    """Return a mattress's width and length, mm."""
    width, length = MATTRESSES_IN[bed]
    return width * MM_PER_INCH, length * MM_PER_INCH


def usual_drop(bed: str) -> float:
    """Return the default drop, mm."""
    return 0.0 if bed == "crib" else USUAL_DROP_IN * MM_PER_INCH


def quilt_size(width: float, length: float, *, drop: float, tuck: float) -> tuple[float, float]:
    """Return the width and length of a quilt for a mattress, mm."""
    return width + 2.0 * drop, length + drop + tuck
