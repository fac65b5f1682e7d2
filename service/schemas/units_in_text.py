"""Sentences about lengths, in a request's own units."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from geometry.units import UNIT_MM, format_decimal, format_fraction

_DIGITS = {"in": 4, "cm": 3, "m": 5, "ft": 5, "yd": 5}
#: Decimals and figures at most of what somebody measures at the bench.
_BENCH_DIGITS, _BENCH_FIGURES = {"in": 3}, 4
#: Below these, mm, a ruler in the unit shows nothing: blades, beams and ties are known in mm.
_FINEST = {"in": UNIT_MM["in"] / 16.0, "cm": 1.0}
#: The finest fraction of an inch on a ruler at the bench, and a share of it that is rounding.
_RULER, _ROUNDING = 32, 0.004
_NUMBER = r"\d+(?:\.\d+)?"
#: One length, or several that share their unit: ``190 by 130 mm``, ``between 0.1 and 3 mm``.
_LENGTHS = re.compile(rf"(?<![\w.])((?:{_NUMBER} (?:by|and|to|of) )*{_NUMBER}) mm(?![\w/2])")


#: A place: ``(12.7, -3) mm``.
_PLACE = re.compile(rf"\((-?{_NUMBER}), (-?{_NUMBER})\) mm(?![\w/2])")


#: What Python writes for a very long or a very short length: ``1e-05 mm``. Nine decimals are finer
#: than the shortest length that is taken.
_WITH_EXPONENT, _EXPONENT_DIGITS = (
    re.compile(
        rf"(?<![\w.]){_NUMBER}e[-+]\d+"
        rf"(?=(?: (?:by|and|to|of) {_NUMBER}(?:e[-+]\d+)?)* mm(?![\w/2]))"
    ),
    9,
)
#: What stands before a bound. A bound is rounded to the side on which it holds, so that what an
#: error says would be right is taken.
_LOWER, _UPPER = re.compile(r"\bat least $"), re.compile(r"\b(?:at most|less than) $")
_RANGE = re.compile(r"\b(?:between|from) $")

#: What follows a fine length in inches.
_FINE_MM = re.compile(r"(?<= in) \(\d+(?:\.\d+)? mm\)")


def in_units(text: str, units: str | None, second: str = "", *, at_the_bench: bool = False) -> str:
    """Return a sentence with its millimetres in other units; what it quotes stays as written.

    Args:
        text: the sentence.
        units: of the request; ``None`` when they are not known.
        second: a second unit, in which each length is stated in brackets; empty for none.
        at_the_bench: whether its lengths are read beside a ruler, so that a thousandth of an inch
            is fine enough, and inches are fractions where they are marks of it. Limits of a
            request are stated as exactly as they are checked.
    """
    parts = text.split('"')
    # What stands between quotation marks is the caller's own.
    parts[::2] = [_WITH_EXPONENT.sub(_without_exponent, part) for part in parts[::2]]
    text = '"'.join(parts)
    if units not in _DIGITS and not (second and second in _DIGITS):
        return text
    units = units or "mm"
    parts = _PLACE.sub(lambda found: _place(found, units), text).split('"')
    parts[::2] = [
        _LENGTHS.sub(lambda found: _in_both(found, units, second, at_the_bench), part)
        for part in parts[::2]
    ]
    return '"'.join(parts)


def in_one_unit(text: str) -> str:
    """Return a sentence without the millimetres in brackets after fine lengths in inches."""
    return _FINE_MM.sub("", text)


def _place(found: re.Match[str], units: str) -> str:
    x, y = (
        format_decimal(float(each) / UNIT_MM[units], _DIGITS.get(units, 3))
        for each in found.groups()
    )
    return f"({x}, {y}) {units}"


def _without_exponent(found: re.Match[str]) -> str:
    return format_decimal(float(found[0]), _EXPONENT_DIGITS)


def _in_both(found: re.Match[str], units: str, second: str, at_the_bench: bool) -> str:  # noqa: FBT001
    sides = () if at_the_bench else _sides(found.string[: found.start()])
    given = _text_in(found[1], units, sides, at_the_bench=at_the_bench)
    if not second:
        return given
    beside = _text_in(found[1], second, at_the_bench=True)
    return f"{in_one_unit(given)} ({in_one_unit(beside)})"


def _sides(before: str) -> tuple[int, ...]:
    """Return the sides to which numbers are rounded by what stands before: 1 up, -1 down."""
    if _RANGE.search(before):
        return (1, -1)
    return (1,) if _LOWER.search(before) else (-1,) if _UPPER.search(before) else ()


def _text_in(numbers: str, units: str, sides: tuple[int, ...] = (), *, at_the_bench: bool) -> str:
    if units == "mm":
        return f"{numbers} mm"

    left = list(sides)

    def one(found: re.Match[str]) -> str:
        side = left.pop(0) if left else 0
        value = float(found[0]) / UNIT_MM[units]
        if at_the_bench and units == "in" and _is_mark(value):
            return format_fraction(float(found[0]), _RULER)
        # Of what is very small two figures stay: a tolerance never becomes 0.
        small = 1 - math.floor(math.log10(value)) if value else 0
        digits = _DIGITS[units]
        if at_the_bench and units != "cm":
            figures = _BENCH_FIGURES - 2 + small
            digits = max(0, min(_BENCH_DIGITS.get(units, digits), figures))
        return _rounded(found[0], units, max(small, digits), side)

    given = f"{re.sub(_NUMBER, one, numbers)} {units}"
    if at_the_bench and re.fullmatch(_NUMBER, numbers) and _is_fine(float(numbers), units):
        return f"{numbers} mm" if units == "cm" else f"{given} ({numbers} mm)"
    return given


def _rounded(mm: str, units: str, digits: int, side: int) -> str:
    """Return a length in units, rounded up (1), down (-1) or to the nearest (0)."""
    if not side:
        return format_decimal(float(mm) / UNIT_MM[units], digits)
    parts = Fraction(mm) / Fraction(str(UNIT_MM[units])) * 10**digits
    whole = math.ceil(parts) if side > 0 else math.floor(parts)
    return format_decimal(whole / 10**digits, digits)


def _is_mark(inches: float) -> bool:
    """Return whether a length is a mark of a ruler at the bench."""
    marks = inches * _RULER
    return round(marks) > 0 and abs(marks - round(marks)) <= _ROUNDING


def _is_fine(mm: float, units: str) -> bool:
    """Return whether a length is below what a ruler in the units shows."""
    return 0.0 < mm < _FINEST.get(units, 0.0) * (1.0 - 0.5 * _ROUNDING)
