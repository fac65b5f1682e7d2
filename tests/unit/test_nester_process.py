"""What the nester's process reports of the library's search, line by line.

Expected lines are those of the module's description; there is no outside source for them.
"""

from __future__ import annotations

import io
import json
import os
from types import SimpleNamespace
from typing import Any

import pytest

from service.sandbox import nester_process
from service.sandbox.first_phase import FirstPhase

SQUARES = {
    "height": 21.0,
    "items": [["a", [[0, 0], [10, 0], [10, 10], [0, 10]], 4, [0.0]]],
    "gap": 0.5,
    "seconds": 600,
    "seed": 1,
    "enough": 100.0,
    "first_phase": None,
}


class EndedError(Exception):
    """Stands for the end of the process."""


def reported(
    *events: tuple[str, float], enough: float = 100.0, first: FirstPhase | None = None
) -> tuple[list[Any], bool]:
    """Return the lines for events of the library, and whether they are the last ones."""
    drained = [
        (
            f"ReportType.{kind}",
            SimpleNamespace(
                width=width,
                placed_items=[SimpleNamespace(id="a", translation=(1.0, 2.0), rotation=90.0)],
            ),
        )
        for kind, width in events
    ]
    out = io.StringIO()
    queue = SimpleNamespace(drain=lambda: drained)
    is_over = nester_process._Lines(queue, out, enough, first).written()
    return [json.loads(line) for line in out.getvalue().splitlines()], is_over


def test_each_event_is_a_line() -> None:
    lines, is_over = reported(("ExplImproving", 9.0), ("ExplFeas", 8.0), ("ExplInfeas", 7.0))
    placed = [["a", 1.0, 2.0, 90.0]]
    assert lines == [{"step": 1}, {"found": 8.0, "placed": placed}, {"failed": 7.0}]
    assert not is_over


def test_a_width_that_is_no_better_or_too_long_is_a_step_or_has_no_places() -> None:
    lines, is_over = reported(("ExplFeas", 8.0), ("ExplFeas", 8.0), enough=5.0)
    assert lines == [{"found": 8.0}, {"step": 1}]
    assert not is_over


def test_nothing_is_reported_of_a_phase_that_is_not_asked_for() -> None:
    assert reported(("ExplFeas", 8.0), ("CmprFeas", 7.0), ("ExplFeas", 6.0))[0][0]["found"] == 8.0
    assert reported(("CmprFeas", 7.0), ("ExplFeas", 6.0)) == ([], True)
    assert reported(("Final", 7.0), first=_endless()) == ([], True)


def _first(
    steps: float, *, least: float = 1e9, seconds: int = 3600, begun_s_ago: float = 0.0
) -> tuple[FirstPhase, list[float]]:
    """Return a first phase of so many steps, one for each line and ten more for each failure.

    With the seconds that it slept.
    """
    slept: list[float] = []
    first = FirstPhase(steps, least, 20.0, seconds, 1.0, 10.0, slept.append)
    first._begun -= begun_s_ago
    return first, slept


def _endless() -> FirstPhase:
    return _first(1e9)[0]


def test_an_attempt_of_the_second_phase_failed_where_another_width_follows() -> None:
    lines, is_over = reported(
        ("ExplInfeas", 7.9),
        ("ExplImproving", 7.9),
        ("ExplImproving", 7.9),
        ("ExplFeas", 7.9),
        ("CmprFeas", 7.85),
        ("ExplImproving", 7.8),
        ("ExplImproving", 7.82),
        ("CmprFeas", 7.82),
        ("ExplImproving", 7.81),
        enough=1.0,
        first=_endless(),
    )
    assert lines == [
        {"failed": 7.9},
        {"step": 1},
        {"step": 1},
        {"found": 7.9},
        {"compressing": 1},
        {"found": 7.85},
        {"step": 1},
        {"failed": 7.8},
        {"step": 1},
        {"found": 7.82},
        {"step": 1},
    ]
    assert not is_over


#: Seven lines: six steps towards a width, so it is a hard one, and the width.
HARD = [("ExplImproving", 8.0)] * 6 + [("ExplFeas", 8.0)]


def test_the_first_phase_ends_after_its_steps_once_an_attempt_was_hard() -> None:
    """Of 7 steps that are paid 7 is enough; what comes before it ends is not reported.

    It sleeps what is left of its hour, and a moment more.
    """
    first, slept = _first(7.0)
    more = [("ExplImproving", 7.9), ("ExplInfeas", 7.9), ("ExplImproving", 7.8)]
    lines, is_over = reported(*HARD, *more, ("CmprFeas", 7.8), enough=1.0, first=first)
    assert lines == [{"step": 1}] * 6 + [{"found": 8.0}, {"compressing": 1}, {"found": 7.8}]
    assert not is_over
    (seconds,) = slept
    assert 3000.0 < seconds < 3601.0


def test_it_does_not_end_within_easy_attempts_until_a_quarter_more_is_paid() -> None:
    """Each is one line. Of 4 steps and a quarter, 5 are paid with the fifth."""
    easy = [("ExplFeas", 9.0 - number) for number in range(6)]
    first, slept = _first(4.0)
    lines, _ = reported(*easy, enough=1.0, first=first)
    assert [line["found"] for line in lines[:5]] == [9.0, 8.0, 7.0, 6.0, 5.0]
    assert len(slept) == 1
    # The sixth came before it was stopped: from where it goes on depends on the machine.
    assert lines[5:] == [{"again": 3600}]


def test_a_failure_is_paid_and_ends_it_too() -> None:
    first, slept = _first(11.0 / 1.25)
    assert reported(("ExplInfeas", 9.0), first=first) == ([{"failed": 9.0}], False)
    assert len(slept) == 1


def test_it_ends_earlier_where_it_finds_nothing() -> None:
    """Two failures are 22 steps in vain, more than 20; 25 are paid with the three lines before."""
    found = [("ExplFeas", 10.0), ("ExplFeas", 9.0), ("ExplFeas", 8.0)]
    for least, sleeps in ((25.0, 1), (25.5, 0)):
        first, slept = _first(1000.0, least=least)
        reported(*found, ("ExplInfeas", 7.0), ("ExplInfeas", 7.0), first=first)
        assert len(slept) == sleeps
    first, slept = _first(1000.0, least=25.0)
    reported(("ExplInfeas", 10.0), ("ExplFeas", 9.0), ("ExplInfeas", 7.0), *found, first=first)
    assert slept == []


def test_with_too_little_time_it_asks_for_twice_as_much() -> None:
    first, slept = _first(7.0, seconds=5, begun_s_ago=5.0)
    assert reported(*HARD, first=first) == ([{"again": 10}], True)
    assert slept == []


def test_a_whole_search_ends_with_done(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four squares of 10 with gaps of 0.5 in a strip 21 high: no less than 20.5 long."""

    def end(code: int) -> None:
        if code == 0:
            raise EndedError

    monkeypatch.setattr(os, "_exit", end)
    out = io.StringIO()
    question = dict(SQUARES, seconds=1)
    with pytest.raises(EndedError):
        nester_process.answer(io.StringIO(json.dumps(question) + "\n"), out)
    lines = [json.loads(line) for line in out.getvalue().splitlines()]
    assert lines[-1] == {"done": 1}
    widths = [line["found"] for line in lines if "found" in line]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] >= 20.5 - 1e-3
