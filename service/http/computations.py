"""Runs computations within the limits of the running application, and counts them."""

from __future__ import annotations

import time
from contextlib import nullcontext
from typing import Any, cast

from flask import current_app, g

from service.errors import ReportedError
from service.http.metrics import ServiceMetrics
from service.sandbox import run
from service.sandbox.concurrency import ActiveRequests, ConcurrencyLimiter
from service.sandbox.step_clock import StepTimes
from service.settings import Settings

#: A longer body is no modest computation: what it is loaded into takes memory while it waits.
_MAX_MODEST_BYTES = 1 << 14


def compute(task: str, *arguments: Any, small: bool = False, modest: bool = True) -> Any:  # noqa: ANN401 - a task's own
    """Return what a task returns, within the limits of the running application.

    Args:
        task: its name.
        arguments: what it takes.
        small: whether it is little work; then it is done here, without a child.
        modest: whether it is little work for a child, as far as the request shows.

    Raises:
        ReportedError: when the task rejects the request, or had to be stopped.
    """
    settings = cast("Settings", current_app.config["SETTINGS"])
    extensions = current_app.extensions
    limiter = cast("ConcurrencyLimiter", extensions["quarterseam-limiter"])
    active = cast("ActiveRequests", extensions["quarterseam-active"])
    metrics = cast("ServiceMetrics", extensions["quarterseam-figures"])
    here = run.is_here(small=small, settings=settings)
    place = "here" if here else "child"
    modest = modest and g.get("body_bytes", 0) <= _MAX_MODEST_BYTES
    times, began, end = StepTimes(), time.perf_counter(), "internal-error"
    try:
        with nullcontext() if here else active.paused():
            made = run.compute(
                task,
                *arguments,
                small=small,
                modest=modest,
                settings=settings,
                limiter=limiter,
                times=times,
            )
        end = "done"
    except ReportedError as error:
        end = error.slug
        raise
    finally:
        times.add_rest(time.perf_counter() - began)
        metrics.count_computation(task, place, end, times.seconds)
    return made
