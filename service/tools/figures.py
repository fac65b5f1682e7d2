"""Times, distances and speeds of tools as people at the bench read them."""

from __future__ import annotations

import math

from geometry import units as lengths

_MINUTE, _HOUR = 60.0, 3600.0
#: Parts of a step that are rounding.
_ROUNDING = 1e-6


def bench_s(seconds: float) -> float:
    """Return a time rounded up as it is printed at the bench: times there add up.

    They leave out accelerations, so they are not rounded down: to ten seconds up to a minute, to
    half minutes up to an hour, to minutes beyond.
    """
    step = 10.0 if seconds <= _MINUTE else 30.0 if seconds <= _HOUR else 60.0
    return math.ceil(seconds / step - _ROUNDING) * step


def bench_time(seconds: float) -> str:
    """Return a time of the bench: ``40 s``, ``4.5 min``, ``2 h 20 min``."""
    seconds = bench_s(seconds)
    if seconds < _MINUTE:
        return f"{seconds:.0f} s"
    if seconds < _HOUR:
        return f"{lengths.format_decimal(seconds / _MINUTE, 1)} min"
    minutes = math.ceil(seconds / _MINUTE)
    return f"{minutes // 60} h {minutes % 60:02d} min"


def time_text(seconds: float) -> str:
    """Return a time for people: seconds, or minutes, or hours and minutes."""
    if seconds < 90:  # noqa: PLR2004 - up to a minute and a half seconds say more
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d} min"  # noqa: PLR2004


def long_length(mm: float, units: str) -> str:
    """Return how far a tool moves: in feet for a request in inches, else in metres."""
    if units == "in":
        return f"{lengths.format_decimal(mm / lengths.UNIT_MM['ft'], 1)} ft"
    return f"{lengths.format_decimal(mm / lengths.UNIT_MM['m'], 2)} m"


def speed_text(mm_s: float, units: str) -> str:
    """Return a speed: in inches per second for a request in inches, else in millimetres."""
    if units == "in":
        return f"{lengths.format_decimal(mm_s / lengths.MM_PER_INCH, 1)} in/s"
    return f"{mm_s:g} mm/s"
