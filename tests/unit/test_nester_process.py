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

SQUARES = {
    "height": 21.0,
    "items": [["a", [[0, 0], [10, 0], [10, 10], [0, 10]], 4, [0.0]]],
    "gap": 0.5,
    "seconds": 600,
    "seed": 1,
    "enough": 100.0,
    "compressed": False,
}


class EndedError(Exception):
    """Stands for the end of the process."""


def reported(
    *events: tuple[str, float], enough: float = 100.0, is_compressed: bool = False
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
    is_over = nester_process._Lines(queue, out, enough, is_compressed).written()
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
    assert reported(("Final", 7.0), is_compressed=True) == ([], True)


def test_an_attempt_of_the_second_phase_failed_where_another_width_follows() -> None:
    lines, is_over = reported(
        ("ExplInfeas", 7.9),
        ("ExplImproving", 7.9),
        ("ExplImproving", 7.9),
        ("ExplFeas", 7.9),
        ("ExplImproving", 7.8),
        ("ExplImproving", 7.85),
        ("CmprFeas", 7.85),
        ("ExplImproving", 7.84),
        enough=1.0,
        is_compressed=True,
    )
    assert lines == [
        {"failed": 7.9},
        {"step": 1},
        {"step": 1},
        {"found": 7.9},
        {"step": 1},
        {"failed": 7.8},
        {"step": 1},
        {"found": 7.85},
        {"step": 1},
    ]
    assert not is_over


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
