"""Formats numbers for machines: no exponent, locale, negative zero or NaN."""

from __future__ import annotations

import math

from adapters.errors import CannotHoldError
from geometry.model.plan import CutPlan


def require_finite(plan: CutPlan) -> None:
    """Raise an error for a plan with a coordinate that is not finite.

    Raises:
        CannotHoldError: for the first such stroke, which it names.
    """
    for index, stroke in enumerate(plan.strokes):
        if not all(math.isfinite(value) for vertex in stroke.vertices for value in vertex):
            raise CannotHoldError(f"Stroke {index} has a coordinate that is not a finite number.")


def number(value: float, digits: int = 4, least: int = 0) -> str:
    """Return a number with at most ``digits`` and at least ``least`` decimals.

    Raises:
        CannotHoldError: when it is not finite.
    """
    if not math.isfinite(value):
        raise CannotHoldError("A coordinate of the plan is not a finite number.")
    text = f"{value:.{digits}f}"
    if "." in text:
        whole, _, decimals = text.partition(".")
        decimals = decimals.rstrip("0").ljust(least, "0")
        text = f"{whole}.{decimals}" if decimals else whole
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text
