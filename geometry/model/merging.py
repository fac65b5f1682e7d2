"""Merges neighbours in a row or a ring, such as edges that continue along one line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeAlias, TypeVar

T = TypeVar("T")
#: Returns two neighbours as one, or ``None`` if they stay apart, at a corner.
AsOne: TypeAlias = Callable[[T, T], T | None]


def merge_neighbours(row: Iterable[T], as_one: AsOne[T]) -> list[T]:
    """Return a row with each element merged into the one before it where they are one."""
    found: list[T] = []
    for each in row:
        whole = as_one(found[-1], each) if found else None
        if whole is None:
            found.append(each)
        else:
            found[-1] = whole
    return found


def first_corner(ring: Sequence[T], as_one: AsOne[T]) -> int | None:
    """Return the index of the first element of a ring with a corner before it, if there is one."""
    return next((at for at in range(len(ring)) if as_one(ring[at - 1], ring[at]) is None), None)
