"""Steps of a computation: seconds of the outermost ones, and which is part of which."""

from __future__ import annotations

import time

import pytest

from adapters.steps import observed_by, step
from service.sandbox.step_clock import MAX_STEPS, OTHER, StepClock, StepTimes


def _spend(seconds: float) -> None:
    until = time.perf_counter() + seconds
    while time.perf_counter() < until:
        pass


def test_seconds_of_parts_count_once() -> None:
    clock = StepClock()
    began = time.perf_counter()
    with observed_by(clock):
        with step("files", run=1):
            for name in ("svg", "dxf"):
                with step("write", format=name):
                    _spend(0.01)
        with step("files", run=2):
            _spend(0.01)
    total = time.perf_counter() - began
    times = clock.times
    assert set(times.seconds) == {"files"}
    assert 0.03 <= times.seconds["files"] <= total
    assert [(each.name, each.about, each.parent) for each in times.steps] == [
        ("files", {"run": 1}, None),
        ("write", {"format": "svg"}, 0),
        ("write", {"format": "dxf"}, 0),
        ("files", {"run": 2}, None),
    ]
    first, svg, dxf, second = times.steps
    assert first.began_ns <= svg.began_ns < svg.ended_ns <= dxf.ended_ns
    assert second.ended_ns - second.began_ns >= 10_000_000


def test_what_is_part_of_no_step_is_a_phase_of_its_own() -> None:
    times = StepTimes({"layout": 0.25, "files": 0.5})
    times.add_rest(1.0)
    assert times.seconds == {"layout": 0.25, "files": 0.5, OTHER: 0.25}
    times.include(StepTimes({"files": 0.25, "zip": 1.0}))
    assert times.seconds == {"layout": 0.25, "files": 0.75, OTHER: 0.25, "zip": 1.0}


def test_a_step_that_fails_is_timed() -> None:
    clock = StepClock()
    with pytest.raises(ValueError, match="no"), observed_by(clock), step("layout"):
        raise ValueError("no")
    assert set(clock.times.seconds) == {"layout"}
    # Nothing is observed behind the block.
    with step("files"):
        pass
    assert set(clock.times.seconds) == {"layout"}


def test_steps_are_bounded_and_their_seconds_are_not() -> None:
    clock = StepClock()
    with observed_by(clock):
        for number in range(MAX_STEPS + 50):
            with step("write", load=number):
                _spend(0.0001)
    assert len(clock.times.steps) == MAX_STEPS
    assert clock.times.seconds["write"] >= 0.0001 * (MAX_STEPS + 50)
