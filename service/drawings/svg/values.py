"""Numbers, lists of numbers and lengths of SVG attributes and styles, read strictly."""

from __future__ import annotations

import math
import re

from geometry.units import UNIT_MM
from service.drawings.drawing import DrawingError

#: mm of a unit; a user unit is a pixel wherever no view box scales it.
LENGTH_MM = {
    **UNIT_MM,
    "px": 25.4 / 96.0,
    "pt": 25.4 / 72.0,
    "pc": 25.4 / 6.0,
    "q": 0.25,
}
NUMBER = r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,2})?"
_NUMBER = re.compile(NUMBER)
_BETWEEN = re.compile(r"[ \t\r\n]*,?[ \t\r\n]*")
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([A-Za-z]*|%)\s*")
#: Maximum numbers of a list.
_MAX_NUMBERS = 20_000


def numbers(text: str, what: str) -> list[float]:
    """Return the numbers of a list.

    Raises:
        DrawingError: at the first thing that is not a number, quoting it.
    """
    found: list[float] = []
    text = text.strip()
    at = 0
    while at < len(text):
        number = _NUMBER.match(text, at)
        if number is None or len(found) >= _MAX_NUMBERS:
            raise DrawingError(
                f"{what} cannot be read at character {at}: {text[at : at + 20]!r} is no number."
            )
        found.append(float(number[0]))
        between = _BETWEEN.match(text, number.end())
        at = between.end() if between is not None else number.end()
    if text.endswith(","):
        raise DrawingError(f"{what} ends with a comma; a number is missing.")
    return found


def measure(text: str, what: str) -> tuple[float, str]:
    """Return the number and the unit (lower case, empty or %) of a length.

    Raises:
        DrawingError: when it is no length.
    """
    found = _LENGTH.fullmatch(text)
    if found is None:
        raise DrawingError(
            f"{what}={text[:20]!r} is not a length; write a number and a unit, as in 40mm."
        )
    return float(found[1]), found[2].lower()


def user_units(text: str, what: str, whole: float | None = None) -> float:
    """Return a length in user units.

    Args:
        text: the length.
        what: its name, for errors.
        whole: what a percentage refers to, if that is known.

    Raises:
        DrawingError: when it is no length, or of a unit that is not read.
    """
    found = _LENGTH.fullmatch(text)
    unit = found[2].lower() if found is not None else ""
    if found is None or (unit and unit not in LENGTH_MM and (unit != "%" or whole is None)):
        raise DrawingError(
            f"{what}={text[:20]!r} is not a plain number, or one with mm, cm, in, pt or px."
        )
    value = float(found[1])
    if unit == "%" and whole is not None:
        return value / 100.0 * whole
    value *= LENGTH_MM[unit] / LENGTH_MM["px"] if unit else 1.0
    if not math.isfinite(value):
        raise DrawingError(f"{what}={text[:20]!r} is not a finite number.")
    return value
