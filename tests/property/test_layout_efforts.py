"""Whatever ends a search, and at whatever effort: never worse than what quick finds at once.

Efforts are ordered by construction: every stage starts from the best of the one before it. Here
random kits on random beds are laid out with a limit that ends the search after a counted number
of looks; no clock is read.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from typing import Any

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from geometry.layout import Item, Layout
from geometry.layout.effort import (
    BEST,
    NORMAL,
    QUICK,
    STEPS_PER_SECOND,
    Budget,
    Reports,
    effort_of,
)
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.objective import Score, is_better, score
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from service.sandbox.nester import asked
from tests.layouts import lay_out
from tests.property.test_layout_kits import items, rooms

#: Looks at the limit after which it is over: at once, very soon, soon, later, late.
DEADLINES = (0, 1, 3, 8, 20)
#: Within normal, which has 125 looks, and within best: seconds of search for every kit.
LATE = (40, 140)
_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


def stop_after(looks: int) -> Callable[[], bool]:
    count = itertools.count()
    return lambda: next(count) >= looks


def nester_by_steps(
    question: Mapping[str, Any], _: Callable[[], bool]
) -> AbstractContextManager[Reports]:
    """Ask the nester without its own looks, which go by the clock: on a busy machine it looks more
    often, and the counted looks would end a search elsewhere. The search looks between reports.
    """
    return asked(question, lambda: False)


def assert_never_worse(
    kit: list[Item], room: WorkArea, gap: float, sets: bool, deadlines: tuple[int, ...]
) -> None:
    outlines = {item.piece: item.outline for item in kit}
    wanted = sum(item.quantity for item in kit)

    def laid(effort: str | float, looks: int | None) -> tuple[Layout, Score]:
        stop = None if looks is None else stop_after(looks)
        how: dict[str, Any] = {"nester": nester_by_steps, "gap": gap, "sets": sets}
        layout = lay_out(kit, room, effort=effort, should_stop=stop, **how)
        assert layout.complete or layout.warnings
        return layout, score(layout.loads, outlines, room, wanted)

    try:
        quick, least = laid("quick", None)
    except DoesNotFit:
        # No layout, so nothing is checked: such a kit is not one of the three hundred.
        reject()
    assert quick.complete
    for looks in deadlines:
        scores = [least]
        # What quick finds depends on no limit: once is enough.
        for effort in ("quick", "normal", "best") if looks == deadlines[0] else ("normal", "best"):
            layout, found = laid(effort, looks)
            # No effort finds anything worse than the one before it.
            assert not is_better(scores[-1], found), (effort, looks)
            scores.append(found)
            for load in layout.loads:
                assert check_load(outlines, load, room, gap) == []
        assert looks != deadlines[0] or scores[1] == least


KITS = (items(), rooms(), st.sampled_from([0.0, 1.0, 3.0]), st.booleans())
#: For many kits at every deadline, so that they end: 11 layouts of such a kit take about a second.
SMALL_KITS = (items(max_kinds=2, max_pieces=8), *KITS[1:])


@pytest.mark.timeout(900)
@settings(max_examples=2, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(*KITS)
def test_no_deadline_makes_a_layout_worse(
    kit: list[Item], room: WorkArea, gap: float, sets: bool
) -> None:
    assert_never_worse(kit, room, gap, sets, DEADLINES)


@pytest.mark.long
@pytest.mark.timeout(36000)
@settings(max_examples=500, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(*SMALL_KITS)
def test_no_deadline_makes_five_hundred_layouts_worse(
    kit: list[Item], room: WorkArea, gap: float, sets: bool
) -> None:
    assert_never_worse(kit, room, gap, sets, DEADLINES)


@pytest.mark.long
@pytest.mark.timeout(36000)
@settings(max_examples=20, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(*KITS)
def test_no_late_deadline_makes_a_layout_worse(
    kit: list[Item], room: WorkArea, gap: float, sets: bool
) -> None:
    assert_never_worse(kit, room, gap, sets, LATE)


def test_seconds_become_steps_once() -> None:
    # derived: 2.5 s at 1000 steps per second
    assert effort_of(2.5).steps == 2.5 * STEPS_PER_SECOND == 2500.0
    assert effort_of(600, max_steps=15_000.0).steps == 15_000.0
    assert effort_of("normal", max_steps=15_000.0) == NORMAL


def test_an_effort_runs_the_stages_below_it() -> None:
    assert [stage.name for stage in BEST.stages] == ["quick", "normal", "best"]
    assert [stage.name for stage in NORMAL.stages] == ["quick", "normal"]
    assert QUICK.stages == (QUICK,)
    # Fewer steps than normal has: its stage, cut to size.
    few = effort_of(1.0).stages
    assert [(stage.name, stage.steps) for stage in few] == [("quick", 0.0), ("normal", 1000.0)]
    assert effort_of(10).stages[-1].steps == 10_000.0


def test_a_budget_counts_steps_and_looks_at_no_clock() -> None:
    budget = Budget(100.0)
    assert budget.try_spend(60.0)
    assert not budget.try_spend(60.0)
    assert not budget.was_cut
    looks = itertools.count()
    cut = Budget(1e9, lambda: next(looks) >= 2)
    spent = 0
    while cut.try_spend(1.0):
        spent += 1
    # A look at the start, then one every 20 steps; the third says no.
    assert cut.was_cut
    assert spent == 40
