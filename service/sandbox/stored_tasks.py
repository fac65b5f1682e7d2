"""The tasks of jobs: each takes a request's JSON as it was stored, and what belongs to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from service.requests.kits import kit_request
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.requests.recuts import RecutRequestSchema
from service.requests.stored_names import current_request
from service.sandbox.tasks import Cutters, Task, task_of
from service.schemas.loading import load
from service.settings import Settings

RECUT = "recut"
QUILT_PLAN = "quilt_plan"
"""Kinds of jobs, beside those that take a kit's request."""


def of_stored_kit(
    seconds: float,
    document: Mapping[str, Any],
    cutters: Cutters,
    *,
    task: Task,
    **how: Any,  # noqa: ANN401
) -> Any:  # noqa: ANN401 - a task's own
    """Run a task with the stored JSON of a kit's request and its cutters."""
    return task(seconds, kit_request(current_request(document), cutters.get), **how)


def _of_recut(
    seconds: float,
    document: Mapping[str, Any],
    answer: bytes,
    *,
    task: Task,
    **how: Any,  # noqa: ANN401
) -> Any:  # noqa: ANN401 - a task's own
    return task(seconds, answer, load(RecutRequestSchema(), document), **how)


def _of_quilt_plan(
    seconds: float,
    document: Mapping[str, Any],
    cutters: Cutters,
    *,
    task: Task,
    **how: Any,  # noqa: ANN401
) -> Any:  # noqa: ANN401 - a task's own
    del cutters
    return task(seconds, load(QuiltPlanRequestSchema(), document), **how)


_LOADERS: Mapping[str, Callable[..., Any]] = {RECUT: _of_recut, QUILT_PLAN: _of_quilt_plan}


def job_of(name: str, settings: Settings) -> Task:
    """Return the task of a job by name; it takes the stored JSON of the job, and what it is of.

    That is the cutters that a kit's request names, and for a recut the answer of its kit.
    """
    return partial(_LOADERS.get(name, of_stored_kit), task=task_of(name, settings))
