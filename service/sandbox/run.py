"""Running a computation in this process or a child, and the errors of one that failed."""

from __future__ import annotations

import logging
import time
from collections.abc import Sequence
from typing import Any

from adapters import steps
from geometry.sentences import number_of
from service.errors import (
    ComputationDiedError,
    ComputationStoppedError,
    NeedsTooMuchMemoryError,
    RequestError,
    TookTooLongError,
)
from service.sandbox import child
from service.sandbox.concurrency import ConcurrencyLimiter
from service.sandbox.step_clock import StepClock, StepTimes
from service.sandbox.tasks import task_of
from service.settings import Settings

_LOG = logging.getLogger(__name__)


def compute(
    task: str,
    *arguments: Any,  # noqa: ANN401 - a task's own
    small: bool,
    modest: bool = False,
    settings: Settings,
    limiter: ConcurrencyLimiter,
    times: StepTimes | None = None,
) -> Any:  # noqa: ANN401 - a task's own
    """Return what a task returns.

    Args:
        task: its name.
        arguments: what it takes.
        small: whether it is so little work that this process does it, without a child.
        modest: whether it is little work for a child; many such computations may wait.
        settings: its limits.
        limiter: limits how many computations run in children, and how many wait.
        times: receives the seconds of waiting and of the steps.

    Raises:
        RequestError: when the task rejects the request, or had to be stopped.
        service.sandbox.child.TaskError: when it failed because of a bug.
    """
    times = StepTimes() if times is None else times
    if is_here(small=small, settings=settings):
        clock = StepClock()
        with steps.observed_by(clock):
            made = task_of(task, settings)(float(settings.compute_seconds), *arguments)
        times.include(clock.times)
        return made
    began = time.perf_counter()
    with limiter.running(modest=modest):
        times.add("waiting", time.perf_counter() - began)
        try:
            return _run(task, arguments, settings, 0 if modest else child.LOW_PRIORITY, times)
        except child.StoppedError as error:
            _LOG.warning("a computation was stopped", extra={"why": error.why, "task": task})
            raise stopped(error, settings.compute_seconds, settings.compute_memory_mb) from None


def _run(
    task: str, arguments: Sequence[Any], settings: Settings, niceness: int, times: StepTimes
) -> Any:  # noqa: ANN401 - a task's own
    """Return what a task returns in a child; if the child is killed from outside, try once more."""
    seconds = float(settings.compute_seconds)

    def attempt() -> Any:  # noqa: ANN401 - a task's own
        return child.run(
            task_of(task, settings),
            (seconds, *arguments),
            seconds=seconds,
            memory_bytes=settings.compute_memory_mb << 20,
            niceness=niceness,
            times=times,
        )

    try:
        return attempt()
    except child.StoppedError as error:
        if error.why != "killed":
            raise
        _LOG.warning("a computation was killed; it is tried again", extra={"task": task})
    return attempt()


def is_here(*, small: bool, settings: Settings) -> bool:
    """Return whether a computation runs in the server process."""
    return small and settings.isolation != "always"


def stopped(error: child.StoppedError, seconds: int, memory_mb: int) -> RequestError:
    """Return the error for a computation that was stopped or died."""
    if error.why == "time":
        detail = (
            f"This was not done in {number_of(seconds, 'second')} and was stopped. Ask for "
            "fewer pieces, simpler outlines or less effort."
        )
        return TookTooLongError(detail)
    if error.why == "memory":
        detail = (
            f"This needs more than {memory_mb} MB of memory and was stopped. "
            "Ask for fewer pieces or simpler outlines."
        )
        return NeedsTooMuchMemoryError(detail)
    if error.why == "killed":
        detail = (
            "The computation was stopped from outside each time it was tried, by an operator or "
            "for want of memory on the machine. Try again."
        )
        return ComputationStoppedError(detail)
    detail = "The computation died; nothing else was affected. The log has the request id."
    return ComputationDiedError(detail)
