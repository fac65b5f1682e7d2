"""Runs computations within the limits of the running application, and counts them."""

from __future__ import annotations

from typing import Any, cast

from flask import current_app

from service import sandbox
from service.http.metrics import Figures
from service.http.problems import ProblemError
from service.sandbox.concurrency import Gate
from service.settings import Settings


def compute(task: str, *arguments: Any, small: bool) -> Any:  # noqa: ANN401 - a task's own
    """Return what a task returns, within the limits of the running application.

    Raises:
        ProblemError: when the task refuses, or had to be stopped.
    """
    settings = cast("Settings", current_app.config["SETTINGS"])
    gate = cast("Gate", current_app.extensions["quarterseam-gate"])
    count = cast("Figures", current_app.extensions["quarterseam-figures"]).computations
    place = "here" if sandbox.is_here(small=small, settings=settings) else "child"
    try:
        made = sandbox.compute(task, *arguments, small=small, settings=settings, gate=gate)
    except ProblemError as error:
        count.labels(task, place, error.slug).inc()
        raise
    except Exception:
        count.labels(task, place, "internal-error").inc()
        raise
    count.labels(task, place, "done").inc()
    return made
