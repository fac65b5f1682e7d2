"""Times, distances and speeds of tools as people at the bench read them."""

from __future__ import annotations

from geometry import units as lengths


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
