"""Numbers of an answer without the noise of binary arithmetic."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

T = TypeVar("T")
#: Decimals of a number in an answer: a thousandth of a nanometre is below every tolerance, and
#: sums such as 12.700000000000003 and 8.9e-17 come out as 12.7 and 0.
_DECIMALS: Final = 12
_SCALE: Final = 1.0e12
#: From this, a float has no such decimals: its significant digits are those that it always holds.
_LARGE: Final = 1000.0
_SIGNIFICANT: Final = 15


def without_noise(value: T) -> T:
    """Return an answer, or a part of one, with every number rounded to what is not noise."""
    found: T = _rounded(value)
    return found


def rounded(value: float) -> float:
    """Return a number, rounded to what is not noise; an integer stays one."""
    if type(value) is not float:
        return value
    if not -_LARGE < value < _LARGE and math.isfinite(value):
        before = len(str(int(abs(value))))
        return round(value, _SIGNIFICANT - before)
    # No zero with a sign either.
    return round(value, _DECIMALS) + 0.0


def rounded_rows(values: NDArray[np.float64]) -> list[Any]:
    """Return an array as nested lists of numbers, each as :func:`rounded` returns it."""
    sizes = np.abs(values)
    is_small = sizes < _LARGE
    scaled = np.where(is_small, values, 0.0) * _SCALE
    whole = np.rint(scaled)
    found = np.where(is_small, whole / _SCALE, values) + 0.0
    # A product is rounded itself, so that it may lie on the wrong side of a half.
    from_half = np.abs(np.abs(scaled - whole) - 0.5)
    is_doubtful = from_half <= np.spacing(np.abs(scaled)) / 2.0
    is_doubtful |= ~is_small
    found[is_doubtful] = [rounded(each) for each in values[is_doubtful].tolist()]
    rows: list[Any] = found.tolist()
    return rows


@cache
def _names_of(kind: type[Any]) -> tuple[str, ...]:
    """Return the names of a dataclass's members."""
    return tuple(each.name for each in fields(kind))


def _rounded(value: Any) -> Any:  # noqa: ANN401 - any member of an answer
    kind = type(value)
    if kind is float:
        return rounded(value)
    if kind is str or kind is int or value is None:
        return value
    # Rows of numbers first: most of an answer are those.
    if isinstance(value, list | tuple):
        return [
            round(each, _DECIMALS) + 0.0
            if type(each) is float and -_LARGE < each < _LARGE
            else _rounded(each)
            for each in value
        ]
    if isinstance(value, Mapping):
        return {name: _rounded(each) for name, each in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        # As dataclasses.replace, which asks each member how it is made: most have dozens.
        names = _names_of(kind)  # type: ignore[arg-type] # every class has a hash
        members = {name: getattr(value, name) for name in names}
        for name, member in members.items():
            # Most are words or nothing.
            if member is not None and type(member) is not str:
                members[name] = _rounded(member)
        return kind(**members)
    return value
