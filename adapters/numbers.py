"""Formats numbers for machines: no exponent, locale, negative zero or NaN."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Final

from adapters.errors import CannotHoldError
from geometry.model.plan import CutPlan

#: What is left out of a number before a blank: zeros at its end, and a point before them.
_ZEROS: Final = re.compile(r"\.?0+ ")
#: Decimals of most numbers.
_DIGITS: Final = 4
_NOT_FINITE: Final = "A coordinate of the plan is not a finite number."


def require_finite(plan: CutPlan) -> None:
    """Raise an error for a plan with a coordinate that is not finite.

    Raises:
        CannotHoldError: for the first such stroke, which it names.
    """
    for index, stroke in enumerate(plan.strokes):
        # A sum is finite only if all its terms are, but may overflow.
        if math.isfinite(sum(map(sum, stroke.vertices))):
            continue
        if not all(math.isfinite(value) for vertex in stroke.vertices for value in vertex):
            raise CannotHoldError(f"Stroke {index} has a coordinate that is not a finite number.")


def number(value: float, digits: int = _DIGITS, least: int = 0) -> str:
    """Return a number with at most ``digits`` and at least ``least`` decimals.

    Raises:
        CannotHoldError: when it is not finite.
    """
    # Files have thousands of numbers; a stated format takes two thirds of the time.
    text = f"{value:.4f}" if digits == _DIGITS else f"{value:.{digits}f}"
    last = text[-1]
    if "0" < last <= "9":
        # Most have nothing to leave out.
        return text
    if last > "9":
        # "nan" and "inf" end with a letter.
        raise CannotHoldError(_NOT_FINITE)
    if digits:
        text = text.rstrip("0")
        missing = least - (len(text) - text.index(".") - 1) if least else 0
        if missing > 0:
            text += missing * "0"
        elif text[-1] == ".":
            text = text[:-1]
    return text[1:] if text[0] == "-" and not text.strip("-0.") else text


def numbers_in(words: str, values: Sequence[float]) -> str:
    """Return words with numbers in their places, each as :func:`number` returns it.

    Args:
        words: with a place such as ``%.5f``, and a blank after it, for each number.
        values: as many as there are places.

    Raises:
        CannotHoldError: when one is not finite.
    """
    text = words % tuple(values)
    if "inf" in text or "nan" in text:
        raise CannotHoldError(_NOT_FINITE)
    return _ZEROS.sub(" ", text).replace("-0 ", "0 ")
