"""Warnings that know whom they concern: the bench, at which loads, or the office."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Self


class Notice(str):
    """A warning's text with what it is about; an answer shows the text alone.

    Args:
        text: of the warning.
        runs: numbers of the runs that it is about; none if it is about the whole kit.
        loads: numbers of the loads beside which it is read; none if it is about all of them.
        for_office: whether it is about formats and requests, which nobody changes at the bench.
    """

    __slots__ = ("for_office", "loads", "runs")
    runs: tuple[int, ...]
    loads: tuple[int, ...]
    for_office: bool

    def __new__(
        cls,
        text: str,
        *,
        runs: Sequence[int] = (),
        loads: Sequence[int] = (),
        for_office: bool = False,
    ) -> Self:
        """Make the text, and note what it is about."""
        made = super().__new__(cls, text)
        made.runs, made.loads, made.for_office = tuple(runs), tuple(loads), for_office
        return made

    def worded(self, text: str) -> Notice:
        """Return the same notice in other words."""
        return Notice(text, runs=self.runs, loads=self.loads, for_office=self.for_office)


def noted(text: str) -> Notice:
    """Return a warning as a notice; plain text is for the bench, and about the whole kit."""
    return text if isinstance(text, Notice) else Notice(text)


def for_office(text: str) -> Notice:
    """Return a warning about formats or the request."""
    return Notice(text, for_office=True)
