"""Parses and formats lengths in the trade's notation; the only module with inches.

Exact factors: 1 in = 25.4 mm and 1 yd = 36 in (international yard and pound agreement, 1959); HP-GL
plotter unit 0.025 mm; 72 PDF points and 96 CSS pixels per inch.
"""

from __future__ import annotations

import math
import re
import unicodedata
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Final

from geometry.errors import BadUnitError

MM_PER_INCH: Final = 25.4
POINTS_PER_INCH: Final = 72.0
PLOTTER_UNITS_PER_MM: Final = 40.0

#: Millimetres per unit.
UNIT_MM: Final[dict[str, float]] = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "ft": 304.8,
    "yd": 914.4,
}
_EXACT: Final = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "yd": Fraction(9144, 10),
}
_SPELLINGS: Final = {
    "mm": "mm",
    "millimetre": "mm",
    "millimetres": "mm",
    "millimeter": "mm",
    "millimeters": "mm",
    "cm": "cm",
    "centimetre": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "centimeters": "cm",
    "m": "m",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "in": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "”": "in",
    "''": "in",
    "ft": "ft",
    "foot": "ft",
    "feet": "ft",
    "'": "ft",
    "′": "ft",
    "yd": "yd",
    "yard": "yd",
    "yards": "yd",
}
#: Maximum characters of a length; a longer text is a mistake or an attack.
_LONGEST_TEXT: Final = 40
_MAX_DIGITS: Final = 12
#: Maximum length, mm: one kilometre, far beyond any cloth.
LARGEST_LENGTH: Final = 1.0e6
#: Minimum length above zero, mm: a nanometre is far below any tool.
SMALLEST_LENGTH: Final = 1.0e-6

#: Halves go away from zero; digits enough for any float of a length.
_DECIMAL: Final = Context(prec=340, rounding=ROUND_HALF_UP)
#: Decimals further on at which computing in floats shows, and is rounded off first.
_NOISE_DIGITS: Final = 6
#: Parts of an inch that are this near to a whole number, of fewer than so many, round to it.
_CLEAR, _LARGE = 0.499, 1.0e6

_LENGTH = re.compile(
    r"""(?P<sign>[-+]?)\s*
    (?:
        (?:(?P<mixed>[0-9]+)(?:\s+|\s*-\s*))?(?P<over>[0-9]+)\s*/\s*(?P<under>[0-9]+)
      | (?P<decimal>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)
    )
    \s*(?P<unit>[^0-9\s./-]*\.?)""",
    re.VERBOSE,
)
_WAYS: Final = 'Write it like "1 1/4 in", "1/4\\"", "32 mm" or "6.35mm".'


def _plain(text: str) -> str:
    """Return the text with vulgar fractions, dashes and slashes in ASCII."""
    parts: list[str] = []
    for char in text:
        if unicodedata.category(char) == "No" and ("⁄" in unicodedata.normalize("NFKC", char)):
            spelled = unicodedata.normalize("NFKC", char).replace("⁄", "/")
            # "1½" is one and a half, never eleven over two.
            parts.append(f" {spelled}")
        elif char in "⁄∕":
            parts.append("/")
        elif char in "‐‑‒–−":
            parts.append("-")
        else:
            parts.append(char)
    return "".join(parts).strip()


def parse_length(value: object, units: str | None = None) -> float:
    """Parse a length in the trade's notation and return it in mm.

    Units:
        ``value`` is a text with a unit (``"2 1/2 in"``, ``'2-1/2"'``, ``"1½ in"``,
        ``"6.35mm"``), or a bare number or fraction, read in ``units`` (``"in"``, ``"mm"``,
        ``"cm"`` ...).

    Args:
        value: text, int or float.
        units: the unit of bare numbers, ``None`` if these are not allowed.

    Raises:
        BadUnitError: when it cannot be parsed, has no unit, or is out of range.
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise BadUnitError(f"A length is a text or a number. {_WAYS}")
    if isinstance(value, str):
        number, unit = _read_text(value)
    else:
        number, unit = _read_number(value), ""
    if not unit:
        if units is None:
            raise BadUnitError(
                f'{_shown(value)} has no unit: add one ("in", "mm", "cm"), '
                'or state "units" for the whole request.'
            )
        unit = units
    length = float(number * _EXACT[unit])
    if abs(length) > LARGEST_LENGTH:
        raise BadUnitError(f"{_shown(value)} is more than a kilometre; check its unit.")
    if length != 0.0 and abs(length) < SMALLEST_LENGTH:
        raise BadUnitError(f"{_shown(value)} is less than a nanometre; check its unit.")
    return length


def _shown(value: object) -> str:
    text = str(value) if not isinstance(value, str) else f'"{value}"'
    return text if len(text) <= _LONGEST_TEXT else f"{text[:_LONGEST_TEXT]}..."


def _read_number(value: float) -> Fraction:
    # An int is checked first: one with thousands of digits cannot become a float.
    if isinstance(value, float) and not math.isfinite(value):
        raise BadUnitError("A length must be a finite number.")
    if abs(value) > LARGEST_LENGTH:
        raise BadUnitError("This number is far too large for a length.")
    # The shortest decimal for the same float is what the caller wrote: 0.1 is a tenth.
    return Fraction(repr(value)) if isinstance(value, float) else Fraction(value)


@lru_cache(maxsize=1024)
def _read_text(text: str) -> tuple[Fraction, str]:
    if len(text) > _LONGEST_TEXT:
        raise BadUnitError(f"A length has at most {_LONGEST_TEXT} characters. {_WAYS}")
    match = _LENGTH.fullmatch(_plain(text))
    if match is None and re.fullmatch(r"\s*[-+]?\d*,\d+[^\d,]*", text):
        # A comma could mean thousands or tenths.
        pointed = text.strip().replace(",", ".")
        if re.fullmatch(r"[^,]*\d,\d{3}(?!\d).*", text):
            whole = text.strip().replace(",", "")
            raise BadUnitError(
                f"{_shown(text)} has a comma: write a point for a fraction, as in "
                f'"{pointed}", and nothing between thousands, as in "{whole}".'
            )
        raise BadUnitError(f'{_shown(text)} has a comma: write a point, as in "{pointed}".')
    if match is None:
        raise BadUnitError(f"{_shown(text)} cannot be read as a length. {_WAYS}")
    digits = [match[name] or "" for name in ("mixed", "over", "under", "decimal")]
    if max(len(part) for part in digits) > _MAX_DIGITS:
        raise BadUnitError(f"{_shown(text)} has more digits than a length can need.")
    if match["decimal"] is not None:
        number = Fraction(match["decimal"].rstrip(".") if match["decimal"] != "." else "0")
    else:
        if int(match["under"]) == 0:
            raise BadUnitError(f"{_shown(text)} divides by zero.")
        number = Fraction(int(match["over"]), int(match["under"])) + int(match["mixed"] or 0)
    word = match["unit"].lower().rstrip(".")
    unit = _SPELLINGS.get(word, "") if word else ""
    if word and not unit:
        raise BadUnitError(
            f"{_shown(text)} ends in an unknown unit; known are in, mm, cm, m, ft and yd. {_WAYS}"
        )
    return (-number if match["sign"] == "-" else number), unit


def format_fraction(mm: float, denominator: int = 16) -> str:
    """Format a length in inches as a whole number and the nearest fraction: ``1 1/4``.

    Args:
        mm: the length, mm.
        denominator: the finest fraction of an inch, a power of two.
    """
    near = abs(mm) / MM_PER_INCH * denominator
    # Fractions take many times as long; they are needed only where a half may be rounded either
    # way.
    is_clear = near < _LARGE and abs(near - round(near)) < _CLEAR
    parts = round(near if is_clear else Fraction(abs(mm)) / _EXACT["in"] * denominator)
    whole, rest = divmod(parts, denominator)
    sign = "-" if mm < 0 and parts else ""
    if rest == 0:
        return f"{sign}{whole}"
    common = math.gcd(rest, denominator)
    shown = f"{rest // common}/{denominator // common}"
    return f"{sign}{whole} {shown}" if whole else f"{sign}{shown}"


def format_decimal(value: float, digits: int = 4) -> str:
    """Format a number with at most ``digits`` decimals and without trailing zeros.

    Halves are rounded away from zero, in decimal: 3.175 is 3.18 though its float is a little less,
    and so is a computed value that is a half but for rounding.
    """
    if not math.isfinite(value):
        return f"{value}"
    exact = Decimal(repr(float(value)))
    for places in (digits + _NOISE_DIGITS, digits):
        exact = _DECIMAL.quantize(exact, Decimal(1).scaleb(-places))
    text = f"{exact:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def format_mm(value: float) -> str:
    """Format millimetres with two decimals, or with more where they are not 0 but would be."""
    text = f"{value:.2f}"
    if float(text) or not value:
        return text
    return format_decimal(value, 1 - math.floor(math.log10(abs(value))))


def format_length(mm: float, units: str = "in") -> str:
    """Format a length: inches as fraction and decimal, other units as decimal only.

    Millimetres and centimetres are as fine as each other: to 0.01 mm.

    An inch length that is not a whole number of sixteenths is ``about 2 9/16 in (2.5774 in)``.
    """
    if units != "in":
        return f"{format_decimal(mm / UNIT_MM[units], 3 if units == 'cm' else 2)} {units}"
    inches = format_decimal(mm / MM_PER_INCH)
    fraction = format_fraction(mm)
    return f"{fraction} in" if is_mark(mm) else f"about {fraction} in ({inches} in)"


def is_mark(mm: float, denominator: int = 16) -> bool:
    """Return whether a length is a mark of a ruler in such parts of an inch, within 1e-6 mm."""
    near = parse_length(format_fraction(mm, denominator), "in")
    return math.isclose(near, mm, rel_tol=0.0, abs_tol=1e-6)


def round_up(mm: float, step_mm: float) -> float:
    """Return a length rounded up to whole steps.

    A length within a billionth of a step above a whole number of steps is rounded down to it, so
    that rounding in 36 in of rows does not cost another eighth of a yard.
    """
    return math.ceil(mm / step_mm - 1e-9) * step_mm


def yard_text(mm: float) -> str:
    """Format a length in yards in the trade's notation: ``1 3/8 yd``."""
    yards = Fraction(mm).limit_denominator(10**9) / _EXACT["yd"]
    eighths = yards.limit_denominator(24)
    whole, rest = divmod(eighths, 1)
    if rest == 0:
        return f"{int(whole)} yd"
    shown = f"{rest.numerator}/{rest.denominator}"
    return f"{int(whole)} {shown} yd" if whole else f"{shown} yd"
