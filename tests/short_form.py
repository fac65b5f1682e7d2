"""Short lists of parameters: what the usual run leaves out is the long run's."""

from __future__ import annotations

from collections.abc import Container, Iterable
from typing import Any

import pytest


def short_form(every: Iterable[Any], short: Container[Any]) -> list[Any]:
    """Mark the parameters that are not in the short form as long.

    Args:
        every: all parameters; a tuple stands for several.
        short: those that the usual run tries as well, by value.
    """
    return [
        pytest.param(
            *(each if isinstance(each, tuple) else (each,)),
            marks=() if each in short else pytest.mark.long,
        )
        for each in every
    ]


#: Straight and curved, with and without a dent, mirror images that differ.
SHAPES = frozenset(
    {"square", "half_hexagon", "jewel", "hexagon_flower", "right_triangle", "circle", "clamshell"}
)


def few(every: Iterable[Any], count: int) -> list[Any]:
    """Mark all parameters as long but the first, the last, and some evenly between them.

    Args:
        every: all parameters, which differ in degree and not in kind; a tuple stands for several.
        count: how many the usual run tries, 2 at least.
    """
    found = list(every)
    short = {round(at * (len(found) - 1) / (count - 1)) for at in range(count)}
    return [
        pytest.param(
            *(each if isinstance(each, tuple) else (each,)),
            marks=() if at in short else pytest.mark.long,
        )
        for at, each in enumerate(found)
    ]
