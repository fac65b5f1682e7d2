"""Warnings about runs: what several runs share is one line that names them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.runs.notices import Notice, noted


class RunWarnings:
    """The warnings of a kit's runs, in the order in which they were first noted."""

    def __init__(self) -> None:
        self._runs: dict[Notice, dict[int, None]] = {}

    def extend(self, run: int, warnings: Iterable[str]) -> None:
        """Note warnings about a run, by its number; each counts once."""
        for warning in warnings:
            self._runs.setdefault(noted(warning), {})[run] = None

    def lines(self) -> list[Notice]:
        """Return one line for each warning, with the runs that it is about."""
        return [
            Notice(
                f"{_named(list(runs))}: {warning}",
                runs=list(runs),
                loads=warning.loads,
                for_office=warning.for_office,
            )
            for warning, runs in self._runs.items()
        ]


def _named(runs: Sequence[int]) -> str:
    """Return the runs' numbers as the start of a sentence, neighbours as a range."""
    if len(runs) == 1:
        return f"Run {runs[0]}"
    spans: list[list[int]] = []
    for number in runs:
        if spans and number == spans[-1][-1] + 1:
            spans[-1].append(number)
        else:
            spans.append([number])
    words = [
        word
        for span in spans
        for word in ([f"{span[0]} to {span[-1]}"] if len(span) > 2 else map(str, span))  # noqa: PLR2004 - a range
    ]
    last = f" and {words[-1]}" if len(words) > 1 else ""
    return f"Runs {', '.join(words[:-1] if last else words)}{last}"
