"""Sentences about lengths, told in a request's own units."""

from __future__ import annotations

import math
import re

from geometry.units import UNIT_MM, format_decimal

_DIGITS = {"in": 4, "cm": 3, "m": 5, "ft": 5, "yd": 5}
_NUMBER = r"\d+(?:\.\d+)?"
#: One length, or several that share their unit: ``190 by 130 mm``, ``between 0.1 and 3 mm``.
_LENGTHS = re.compile(rf"(?<![\w.])((?:{_NUMBER} (?:by|and|to|of) )*{_NUMBER}) mm(?![\w/2])")


def in_units(text: str, units: str | None) -> str:
    """Return a sentence with its millimetres in other units; what it quotes stays as written."""
    if units not in _DIGITS:
        return text
    parts = text.split('"')
    # What stands between quotation marks is the caller's own.
    parts[::2] = [_LENGTHS.sub(lambda found: _told(found[1], units), part) for part in parts[::2]]
    return '"'.join(parts)


def _told(numbers: str, units: str) -> str:
    def one(found: re.Match[str]) -> str:
        value = float(found[0]) / UNIT_MM[units]
        # Of what is very small two figures stay: a tolerance is never told as 0.
        small = 1 - math.floor(math.log10(value)) if value else 0
        return format_decimal(value, max(small, _DIGITS[units]))

    return f"{re.sub(_NUMBER, one, numbers)} {units}"
