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
}


class EndedError(Exception):
    """Stands for the end of the process."""


def reported(*events: tuple[str, float], enough: float = 100.0) -> tuple[list[Any], float]:
    """Return the lines for events of the library, and the width that is returned."""
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
    width = nester_process._written(queue, float("inf"), enough, out)
    return [json.loads(line) for line in out.getvalue().splitlines()], width


def test_each_event_is_a_line() -> None:
    lines, width = reported(("ExplImproving", 9.0), ("ExplFeas", 8.0), ("ExplInfeas", 7.0))
    placed = [["a", 1.0, 2.0, 90.0]]
    assert lines == [{"step": 1}, {"found": 8.0, "placed": placed}, {"failed": 7.0}]
    assert width == 8.0


def test_a_width_that_is_no_better_or_too_long_is_a_step_or_has_no_places() -> None:
    lines, width = reported(("ExplFeas", 8.0), ("ExplFeas", 8.0), enough=5.0)
    assert lines == [{"found": 8.0}, {"step": 1}]
    assert width == 8.0


def test_nothing_is_reported_of_the_phase_that_depends_on_the_clock() -> None:
    assert reported(("ExplFeas", 8.0), ("CmprFeas", 7.0), ("ExplFeas", 6.0))[0][0]["found"] == 8.0
    assert reported(("CmprFeas", 7.0), ("ExplFeas", 6.0)) == ([], 0.0)


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
