"""What runs in a child process: tasks, one after another, each within limits of its own."""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import resource
import signal
import time
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import Any

from adapters import steps
from adapters.sandbox.limits import ProcessLimits, end_with
from geometry.errors import GeometryError
from service.errors import RequestError, of_geometry
from service.sandbox.step_clock import StepClock, StepTimes
from service.tracing import log_fields

_REPORTS_APART_S = 0.1
#: Seconds without a task after which a child ends. A new one knows no answers and
#: has its memory to copy, so one outlives the minutes between the requests of a studio at work.
_IDLE_S = 300.0
#: A child is replaced after so many tasks, or when its memory has grown by so much, so that no
#: task finds what many others left behind.
_MAX_TASKS, _MAX_GROWTH_KIB = 1_000, 150 << 10


@dataclass(frozen=True)
class ChildTask:
    """A task for a child.

    Args:
        task: a function that can be imported by its name.
        arguments: what it takes.
        seconds: of processor time, about; the parent kills by the clock long before.
        memory_bytes: address space that the child can have.
        is_watched: whether the task takes ``progress``.
        log_fields: what its log lines say of the work that it belongs to.
    """

    task: Callable[..., Any]
    arguments: Sequence[Any]
    seconds: float
    memory_bytes: int
    is_watched: bool
    log_fields: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class TaskOutcome:
    """What became of a task.

    Args:
        kind: ``done``, ``refused``, ``memory`` or ``failed``.
        value: what the task returned, its error, or the traceback.
        is_last: whether the child takes no further task.
        times: of its steps.
    """

    kind: str
    value: Any
    is_last: bool
    times: StepTimes


def serve(connection: Connection, niceness: int) -> None:
    """Do tasks and send what came of them, until none comes or the child must be replaced.

    Args:
        connection: gives ``ChildTask``, takes ``("progress", (done, phase))`` and ``TaskOutcome``.
        niceness: of this process, above its parent's.
    """
    _end_with_parent()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    with contextlib.suppress(OSError):
        os.nice(niceness)
    memory_at_start = _peak_kib()
    for number in range(1, _MAX_TASKS + 1):
        if not connection.poll(_IDLE_S):
            return
        clock = StepClock()
        try:
            outcome = _outcome(connection, connection.recv(), clock)
        except EOFError:
            return
        except MemoryError:
            # The limit of the task before holds while the next one is read.
            outcome = "memory", None
        is_last = (
            outcome[0] in {"memory", "failed"}
            or number == _MAX_TASKS
            or _peak_kib() - memory_at_start > _MAX_GROWTH_KIB
        )
        try:
            connection.send(TaskOutcome(*outcome, is_last, clock.times))
        except MemoryError:
            is_last = True
            connection.send(TaskOutcome("memory", None, is_last, StepTimes()))
        if is_last:
            return
        del outcome
        gc.collect()
        # What is left are answers that are kept: they need not be gone through after each task.
        gc.freeze()


def _outcome(connection: Connection, order: ChildTask, clock: StepClock) -> tuple[str, Any]:
    """Return what becomes of a task: its kind and value."""
    ProcessLimits(order.seconds, order.memory_bytes).apply(for_good=False)
    log_fields.begin(order.log_fields)
    clock.times.process = os.getpid()
    more = {"progress": _reporter(connection)} if order.is_watched else {}
    try:
        with steps.observed_by(clock):
            return "done", order.task(*order.arguments, **more)
    except RequestError as error:
        return "refused", error
    except GeometryError as error:
        return "refused", of_geometry(error)
    except MemoryError:
        return "memory", None
    except Exception:  # noqa: BLE001 - the parent must learn of any failure
        return "failed", traceback.format_exc()


def _reporter(connection: Connection) -> Callable[[float, str], None]:
    """Return the function that a task calls to report progress; drops calls that come too often."""
    last = [-1.0]

    def report(done: float, phase: str) -> None:
        now = time.monotonic()
        if now - last[0] >= _REPORTS_APART_S:
            last[0] = now
            connection.send(("progress", (min(1.0, max(0.0, done)), phase)))

    return report


def _peak_kib() -> int:
    """Return the most memory that this process has held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def _end_with_parent() -> None:
    """End this process when its parent ends; the fork server would keep it otherwise."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        end_with(parent.sentinel)
