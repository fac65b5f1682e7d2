"""Flowables that several arrangements of a sheet share, made and measured once."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable

from reportlab.platypus import Flowable


class KeptFlowables:
    """The flowables of one sheet's counts of pages, by what they depend on.

    They can be set again once what setting them changed is undone (``noted_pages``). Those that
    were counted cannot be drawn.
    """

    def __init__(self) -> None:
        self._kept: dict[Hashable, list[Flowable]] = {}

    def of(self, key: Hashable, make: Callable[[], Iterable[Flowable]]) -> list[Flowable]:
        """Return the flowables of a key, those that ``make`` returns the first time."""
        if key not in self._kept:
            self._kept[key] = list(make())
        return self._kept[key]
