"""A roll as the nester lays it in both phases: the same on any machine, ended with its parent."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

import pytest

from geometry.layout import Item
from geometry.layout.effort import Budget
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.nesting import compressed as search
from geometry.layout.nesting.compressed import compressed, lie_edge_to_edge
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from service.sandbox import nester as process

ROLL = WorkArea.roll(3.0, 5.0, 200.0)
#: Of many directions.
ROUND = [
    Item("A", build("apple_core", {"length": 60.0}), 8),
    Item("B", build("pentagon", {"side": 30.0}), 8),
    Item("C", build("clamshell", {"width": 50.0}), 6),
]
STEPS = 1_500.0


def _laid(items: Sequence[Item] = ROUND) -> tuple[list[list[Placed]], Budget]:
    """Return all that is yielded, each proved to be sound, and the budget after it."""
    budget = Budget(STEPS + 500.0, None, process.installed())
    outlines = {item.piece: item.outline for item in items}
    found = list(compressed(items, ROLL, gap=1.0, seed=1, budget=budget, steps=STEPS))
    for placed in found:
        load = Load(tuple(each.placement for each in placed))
        assert load.outlines == {item.piece: item.quantity for item in items}
        assert check_load(outlines, load, ROLL, 1.0) == []
    return found, budget


def _lengths(found: Sequence[Sequence[Placed]]) -> list[float]:
    return [max(each.x + each.variant.outline.bounds.right for each in placed) for placed in found]


def test_it_is_the_same_whatever_time_the_first_phase_is_given(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A second is too little on a slow machine and is doubled; four are more than it needs."""
    monkeypatch.setattr(search, "_FEW_STEPS", 0.0)
    asked = []
    true = process.asked

    def counted(question: dict[str, object], is_cut: object) -> object:
        asked.append(question["first_phase"]["seconds"])  # type: ignore[index]
        return true(question, is_cut)  # type: ignore[arg-type]

    monkeypatch.setattr(process, "asked", counted)
    results = []
    for seconds in (1, 4):
        monkeypatch.setattr(search, "_SECONDS_PER_STEP", seconds / (0.6 * STEPS))
        results.append(_laid())
    (first, budget), (second, other) = results
    assert first == second
    assert budget.left == other.left
    assert not budget.was_cut
    assert _lengths(first) == sorted(_lengths(first), reverse=True)
    assert asked[0] == 1


def test_with_few_steps_nobody_waits_for_the_clock() -> None:
    run = search._Run(ROUND, ROLL, 1.0, Budget(0.0), 24_000.0)
    assert run.first_phase["steps"] > 1e9
    run = search._Run(ROUND, ROLL, 1.0, Budget(0.0), 50_000.0)
    # derived: three fifths of the steps, 2.4 ms for each
    assert (run.first_phase["steps"], run.first_phase["seconds"]) == (30_000.0, 72)


def test_pieces_of_few_directions_are_explored_until_that_ends() -> None:
    kinds = [
        Item("A", build("hexagon", {"side": 20.0}), 4),
        Item("B", build("square", {"side": 30.0}), 4),
    ]
    assert lie_edge_to_edge(kinds)
    assert not lie_edge_to_edge(ROUND)
    # derived: 4 of 8 have half of their edges in four directions, the circles hardly any
    assert not lie_edge_to_edge([kinds[1], Item("C", build("circle", {"diameter": 60.0}), 4)])


PARENT = """
import sys
from geometry.layout.nesting.nester import question_of
from tests.unit.test_compressed import ROLL, ROUND
from service.sandbox.nester import asked
import math
kinds = {item.piece: item for item in ROUND}
question = question_of(kinds, {item.piece: item.quantity for item in ROUND}, ROLL, 1.0, 1, math.inf)
question["first_phase"] = {
    "steps": 20.0, "least": 20.0, "vain": 20.0, "seconds": 2, "per_line": 1.0, "per_failure": 1.0
}
with asked(question, lambda: False) as lines:
    for line in lines:
        print("line", flush=True)
"""


def _children(pid: int) -> list[int]:
    """Return the processes that a process has started."""
    text = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    return [int(each) for each in text.split()]


def _state(pid: int) -> str:
    """Return the letter of a process's state; nothing once it has gone."""
    with suppress(FileNotFoundError, ProcessLookupError):
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    return ""


def test_a_sleeping_nester_ends_with_its_parent() -> None:
    parent = subprocess.Popen([sys.executable, "-c", PARENT], stdout=subprocess.PIPE)
    assert parent.stdout is not None
    try:
        parent.stdout.readline()
        (nester,) = _children(parent.pid)
        (waker,) = _children(nester)
        while _state(nester) not in {"T", ""}:
            time.sleep(0.01)
        assert _state(nester) == "T"
    finally:
        os.kill(parent.pid, signal.SIGKILL)
        parent.wait()
        parent.stdout.close()
    ends = time.monotonic() + 120.0
    while {_state(nester), _state(waker)} - {"", "Z"} and time.monotonic() < ends:
        time.sleep(0.05)
    assert {_state(nester), _state(waker)} <= {"", "Z"}
