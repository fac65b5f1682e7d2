"""Warnings about runs: what several runs share is one line that names them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from service.answers.cures import WarningCureAnswer, WarningPlaceAnswer, cure_answer
from service.errors import Cure
from service.runs.notices import Notice, noted
from service.texts import gettext as _


class RunWarnings:
    """The warnings of a kit's runs, in the order in which they were first noted."""

    def __init__(self) -> None:
        self._runs: dict[Notice, dict[int, Notice]] = {}

    def extend(self, run: int, warnings: Iterable[str]) -> None:
        """Note warnings about a run, by its number; each counts once."""
        for warning in warnings:
            notice = noted(warning)
            self._runs.setdefault(notice, {})[run] = notice

    def lines(self) -> list[Notice]:
        """Return one line for each warning, with the runs that it is about."""
        return [
            Notice(
                _("{runs}: {warning}", runs=named_runs(list(runs)), warning=warning),
                runs=list(runs),
                loads=warning.loads,
                for_office=warning.for_office,
                cures=_together(runs),
                bare=warning.bare,
                is_note=warning.is_note,
                place=warning.place,
            )
            for warning, runs in self._runs.items()
        ]


def cures_of(warnings: Iterable[Notice]) -> list[WarningCureAnswer]:
    """Return the cures of the warnings that have one."""
    return [
        WarningCureAnswer(warning=str(warning), cure=cure_answer(cure))
        for warning in warnings
        for cure in warning.cures
    ]


def notes_of(warnings: Iterable[Notice]) -> list[str]:
    """Return those of the warnings that only inform."""
    return [str(warning) for warning in warnings if warning.is_note]


def places_of(warnings: Iterable[Notice]) -> list[WarningPlaceAnswer]:
    """Return the places in the request of the warnings that are about one."""
    return [
        WarningPlaceAnswer(
            warning=str(warning),
            pointers=[f"#/runs/{run - 1}{warning.place}" for run in warning.runs],
        )
        for warning in warnings
        if warning.place
    ]


def _together(runs: Mapping[int, Notice]) -> list[Cure]:
    """Return one cure for a warning of several runs: the changes of all of them."""
    cures = [(run, cure) for run, notice in runs.items() for cure in notice.cures]
    if len(cures) < len(runs):
        return []
    changes = [
        change._replace(path=f"/runs/{run - 1}{change.path}")
        for run, cure in cures
        for change in cure.changes
    ]
    return [Cure(cures[0][1].title, tuple(changes))]


def named_runs(runs: Sequence[int]) -> str:
    """Return the runs' numbers as the start of a sentence, neighbours as a range."""
    if len(runs) == 1:
        return _("Run {number}", number=runs[0])
    spans: list[list[int]] = []
    for number in runs:
        if spans and number == spans[-1][-1] + 1:
            spans[-1].append(number)
        else:
            spans.append([number])
    words = [
        word
        for span in spans
        for word in (
            [_("{first} to {last}", first=span[0], last=span[-1])]
            if len(span) > 2  # noqa: PLR2004 - a range
            else map(str, span)
        )
    ]
    if len(words) == 1:
        return _("Runs {numbers}", numbers=words[0])
    return _("Runs {numbers} and {last}", numbers=", ".join(words[:-1]), last=words[-1])
