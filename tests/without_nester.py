"""Lays out kits without the nester, in this process and in children.

The nester takes nine tenths of the time of a kit of several kinds. Tests of kits that look at
something else than their layouts do without it: rows and single pieces are laid as always.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from geometry.layout.effort import Nester
from service.sandbox import nester, run, stored_tasks, tasks
from service.settings import Settings

_TASK_OF = tasks.task_of
_is_left_out = False


def leave_out(*, is_left_out: bool) -> None:
    """State whether kits are laid out without the nester from now on."""
    global _is_left_out  # noqa: PLW0603 - one state of the whole process
    _is_left_out = is_left_out


def prepare() -> None:
    """Have computations look at what is stated."""
    vars(tasks)["installed"] = installed
    for module in (run, stored_tasks):
        vars(module)["task_of"] = _task_of


def installed() -> Nester | None:
    """Return the nester, or ``None`` where it is left out."""
    return None if _is_left_out else nester.installed()


def _task_of(name: str, settings: Settings) -> Callable[..., Any]:
    task = _TASK_OF(name, settings)
    return partial(_without, task) if _is_left_out else task


def _without(task: Callable[..., Any], *arguments: Any, **more: Any) -> Any:
    """Do a task without the nester, in a child as well."""
    known = vars(tasks)
    before = known["installed"]
    known["installed"] = lambda: None
    try:
        return task(*arguments, **more)
    finally:
        known["installed"] = before
