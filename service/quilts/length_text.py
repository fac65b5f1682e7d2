"""Lengths of fabric in the trade's form, and sizes to be measured with a ruler."""

from __future__ import annotations

import math

from geometry import units as lengths
from service.texts import gettext as _

#: What straightening the end of bought cloth takes, mm: an inch. Common practice, no source.
STRAIGHTENING = lengths.MM_PER_INCH


def length_text(mm: float, unit: str) -> str:
    """Return a length of fabric in the trade's form: ``1 3/8 yd``, ``1.3 m``, ``54 in``."""
    if unit == "yd":
        return lengths.yard_text(mm)
    if unit == "m":
        return f"{lengths.format_decimal(mm / 1000.0, 3)} m"
    return lengths.format_length(mm, "in")


def is_square(width: float, length: float) -> bool:
    """Return whether a rectangle is a square for somebody with a ruler."""
    return math.isclose(width, length, abs_tol=1e-3)


def sides_text(width: float, length: float, units: str) -> str:
    """Return both sides of a rectangle: ``3 in x 2 1/2 in``."""
    return f"{lengths.format_length(width, units)} x {lengths.format_length(length, units)}"


def size_text(width: float, length: float, units: str) -> str:
    """Return a square's side, or both sides of a rectangle: ``4 7/8 in``, ``3 in by 2 1/2 in``."""
    side = lengths.format_length(width, units)
    if is_square(width, length):
        return side
    return _("{width} by {length}", width=side, length=lengths.format_length(length, units))
