"""What the service computes is computed with the nester: it is passed from the tasks to layouts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import pytest

from geometry.layout.effort import Reports
from service.requests.kits import kit_request
from service.sandbox import tasks
from service.tools.built_in import BUILT_IN

#: 53 squares of 2 in on sheets of 12 in: rows hold 25 or 26, so 3 sheets; 27 on a sheet save one.
BODY: Mapping[str, Any] = {
    "units": "mm",
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "square", "side": "50.8"},
            "quantity": 53,
            "seam_allowance": "0",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "pen"},
                "bed": {"width": "304.8 mm", "height": "304.8 mm"},
            },
            "gap": "1 mm",
        }
    ],
}


@pytest.mark.parametrize(
    ("task", "tool"), [("layouts", "pen"), ("kit", "pen"), ("layouts", "steel_rule_die")]
)
def test_the_nester_is_asked(monkeypatch: pytest.MonkeyPatch, task: str, tool: str) -> None:
    questions: list[Mapping[str, Any]] = []

    @contextmanager
    def asked(question: Mapping[str, Any], is_cut: Callable[[], bool]) -> Iterator[Reports]:
        del is_cut
        questions.append(question)
        yield iter(({"done": 1},))

    monkeypatch.setattr(tasks, "installed", lambda: asked)
    (run,) = BODY["runs"]
    gap = "2.4 mm" if tool == "steel_rule_die" else "1 mm"
    run = {**run, "gap": gap, "cutter": {**run["cutter"], "tool": {"kind": tool}}}
    request = kit_request({**BODY, "runs": [run]}, BUILT_IN.get)
    tasks.TASKS[task](60.0, request)
    assert questions
    assert all(each["items"][0][0] == "A" for each in questions)
