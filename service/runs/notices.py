"""Warnings that know whom they concern: the bench, at which loads, or the office."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Self

from service.errors import Change, Cure
from service.texts import gettext as _
from service.texts import ngettext


class Notice(str):
    """A warning's text with what it is about; an answer shows the text alone.

    Args:
        text: of the warning.
        runs: numbers of the runs that it is about; none if it is about the whole kit.
        loads: numbers of the loads beside which it is read; none if it is about all of them.
        for_office: whether it is about formats and requests, which nobody changes at the bench.
        cures: changes of the request after which it is gone; of each run that it is about.
            Paths begin in the run until ``RunWarnings`` knows which that is.
        bare: what is read below a heading that names run and load; the text where not stated.
        is_note: whether it only informs: nothing has to be done about it.
        place: JSON pointer, from the run on, to what of the request it is about; empty for none.
    """

    __slots__ = ("bare", "cures", "for_office", "is_note", "loads", "place", "runs")
    bare: str
    runs: tuple[int, ...]
    loads: tuple[int, ...]
    for_office: bool
    cures: tuple[Cure, ...]
    is_note: bool
    place: str

    def __new__(
        cls,
        text: str,
        *,
        runs: Sequence[int] = (),
        loads: Sequence[int] = (),
        for_office: bool = False,
        cures: Sequence[Cure] = (),
        bare: str = "",
        is_note: bool = False,
        place: str = "",
    ) -> Self:
        """Make the text, and note what it is about."""
        made = super().__new__(cls, text)
        made.bare = bare or text
        made.runs, made.loads, made.for_office = tuple(runs), tuple(loads), for_office
        made.cures, made.is_note, made.place = tuple(cures), is_note, place
        return made

    def worded(self, convert: Callable[[str], str]) -> Notice:
        """Return the same notice in other words."""
        return Notice(
            convert(self),
            runs=self.runs,
            loads=self.loads,
            for_office=self.for_office,
            cures=self.cures,
            bare=convert(self.bare),
            is_note=self.is_note,
            place=self.place,
        )


def noted(text: str) -> Notice:
    """Return a warning as a notice; plain text is for the bench, and about the whole kit."""
    return text if isinstance(text, Notice) else Notice(text)


def curable(text: str, title: str, *changes: Change) -> Notice:
    """Return a warning with the changes of its run that cure it.

    Args:
        text: of the warning.
        title: what the changes do.
        changes: their paths begin in the run, such as ``/gap``.
    """
    return Notice(text, cures=[Cure(title, changes)])


def hundredths(mm: float) -> str:
    """Return a length as a request states it, rounded up to hundredths of a millimetre."""
    return f"{math.ceil(100.0 * mm - 1e-6) / 100.0:g} mm"


def of_loads(text: str, numbers: Sequence[int]) -> Notice:
    """Return a warning about some loads, which it names; not where it stands beside them."""
    named = ngettext(
        "Load {numbers}: {warning}",
        "Loads {numbers}: {warning}",
        len(numbers),
        numbers=", ".join(map(str, numbers)),
        warning=f"{text[0].lower()}{text[1:]}",
    )
    return Notice(named, loads=numbers, bare=text)


def of_sheet(text: str, name: str, place: str) -> Notice:
    """Return a warning about a sheet of a stock, which it names.

    Args:
        text: of the warning.
        name: of the sheet, in words.
        place: JSON pointer to the sheet, from the run on.
    """
    before = noted(text)
    named = _("{sheet}: {warning}", sheet=name, warning=f"{text[0].lower()}{text[1:]}")
    return Notice(named, for_office=before.for_office, is_note=before.is_note, place=place)


def for_office(text: str) -> Notice:
    """Return a warning about formats or the request."""
    return Notice(text, for_office=True)


def note(text: str, *cures: Cure) -> Notice:
    """Return what the office may want to know, though nothing has to be done about it.

    Args:
        text: of the note.
        cures: what may be changed all the same.
    """
    return Notice(text, for_office=True, cures=cures, is_note=True)
