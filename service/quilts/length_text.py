"""Lengths of fabric in the trade's form."""

from __future__ import annotations

from geometry import units as lengths


def length_text(mm: float, unit: str) -> str:
    """Return a length of fabric in the trade's form: ``1 3/8 yd``, ``1.3 m``, ``54 in``."""
    if unit == "yd":
        return lengths.yard_text(mm)
    if unit == "m":
        return f"{lengths.format_decimal(mm / 1000.0, 3)} m"
    return lengths.format_length(mm, "in")
