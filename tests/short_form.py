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
