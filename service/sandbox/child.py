"""Runs a task in a child process that is killed when it exceeds its time or memory.

A thread of the server cannot be stopped, least of all inside a C library; a process can. The
children are forked from a clean server process that has everything imported, so that starting one
takes milliseconds and it inherits no locks. Servers and workers fork that process from their own
(``fork_server``); elsewhere the first child starts it.

A child that has done its task waits for the next one: a new one has to copy each page of memory
that it touches, which takes longer than a small kit.
"""

from __future__ import annotations

import contextlib
import logging
import multiprocessing
import os
import signal
import time
from collections.abc import Callable, Sequence
from multiprocessing.connection import wait
from typing import Any

from service.sandbox.child_process import ChildTask, TaskOutcome, serve
from service.sandbox.idle_children import Child, IdleChildren
from service.sandbox.step_clock import StepTimes
from service.sandbox.step_spans import record_steps
from service.tracing import log_fields, spans

_CONTEXT = multiprocessing.get_context("forkserver")
_CONTEXT.set_forkserver_preload(["service.sandbox.warm"])
#: A priority lower than the server's own, so that small requests are answered beside heavy ones.
LOW_PRIORITY = 10
#: How often the watcher of a child is called.
_TICK_S = 0.25
#: Seconds to wait after each attempt to start a child that failed because the process that forks
#: children had died: its end may not be known at once.
_WAITS_S = (0.05, 0.5, 2.0)
#: Outcomes of tasks that are no failure of ours.
_ENDS_WELL = ("done", "refused")

_LOG = logging.getLogger(__name__)
_IDLE = IdleChildren()
os.register_at_fork(after_in_child=_IDLE.forget)
#: Ends the children that wait, which know the plug-ins of their start.
end_idle_children = _IDLE.end

#: Called with a child's progress (0 to 1) and phase; returns whether it may continue.
Watch = Callable[[float, str], bool]


class StoppedError(Exception):
    """A child did not finish.

    Args:
        why: ``time``, ``memory``, ``crash``, ``killed`` (from outside), or ``watcher``.
        detail: for the log.
    """

    def __init__(self, why: str, detail: str = "") -> None:
        super().__init__(f"{why}: {detail}")
        self.why = why
        self.detail = detail


class TaskError(Exception):
    """A task failed by a defect of ours; the text is the child's traceback."""


class _EndedIdleError(Exception):
    """A child had waited for so long that it ended, just as it was given a task."""


def warm_up() -> None:
    """Start the process that children are forked from, before the first child is needed."""
    from service.sandbox import fork_server  # noqa: PLC0415 - only servers need it

    fork_server.ensure_running()


def wait_until_warm(seconds: float = 60.0) -> None:
    """Wait until a child can be started at once.

    Raises:
        StoppedError: when no child can be started in that time.
    """
    run(int, (), seconds=seconds, memory_bytes=1 << 30)


def run(
    task: Callable[..., Any],
    arguments: Sequence[Any],
    *,
    seconds: float,
    memory_bytes: int,
    watch: Watch | None = None,
    niceness: int = LOW_PRIORITY,
    times: StepTimes | None = None,
) -> Any:  # noqa: ANN401 - whatever the task returns
    """Return what a task returns, computed in a child.

    Args:
        task: a function that can be imported by its name.
        arguments: what it takes.
        seconds: after which the child is killed.
        memory_bytes: address space that the child can have.
        watch: asked several times a second; the task must take ``progress`` then.
        niceness: of the child, above the server's own.
        times: takes the seconds of the task's steps, once it has ended by itself.

    Raises:
        RequestError: when the task rejects the request.
        StoppedError: when the child had to be killed, or died.
        TaskError: when the task failed.
    """
    fields = log_fields.current()
    order = ChildTask(task, arguments, seconds, memory_bytes, watch is not None, fields)
    with spans.span("child process") as span:
        outcome = _outcome(order, watch, niceness)
        record_steps(outcome.times, span)
        if outcome.kind not in _ENDS_WELL:
            span.fail(outcome.kind)
    if times is not None:
        times.include(outcome.times)
    return _value(outcome)


def _outcome(order: ChildTask, watch: Watch | None, niceness: int) -> TaskOutcome:
    """Return what became of a task in a child that waits, or in a new one."""
    waiting = _IDLE.take(niceness)
    if waiting is not None:
        with contextlib.suppress(_EndedIdleError):
            return _done_by(waiting, order, watch)
    return _done_by(_started(niceness), order, watch)


def _value(outcome: TaskOutcome) -> Any:  # noqa: ANN401 - whatever the task returned
    """Return what a task returned, or raise its error."""
    if outcome.kind == "done":
        return outcome.value
    if outcome.kind == "refused":
        raise outcome.value
    if outcome.kind == "memory":
        raise StoppedError("memory")
    raise TaskError(outcome.value)


def _started(niceness: int) -> Child:
    """Start a child; if the process that forks it has just died, its successor forks it.

    Raises:
        StoppedError: when none can be started.
    """
    for wait_s in _WAITS_S:
        connection, its_own = _CONTEXT.Pipe()
        process = _CONTEXT.Process(target=serve, args=(its_own, niceness), daemon=True)
        try:
            process.start()
        except (EOFError, ConnectionError) as error:
            connection.close()
            _LOG.warning("no child was forked", extra={"cause": repr(error)[:300]})
            time.sleep(wait_s)
        else:
            return Child(process, connection, niceness)
        finally:
            its_own.close()
    raise StoppedError("crash", "no child could be forked")


def _done_by(child: Child, order: ChildTask, watch: Watch | None) -> TaskOutcome:
    """Return what became of a task in a child; keep the child for the next if it may go on."""
    is_idle = False
    try:
        try:
            child.connection.send(order)
        except (BrokenPipeError, ConnectionResetError):
            raise _end_of(child, has_begun=False) from None
        outcome = _last_message(child, time.monotonic() + order.seconds, watch)
        is_idle = not outcome.is_last
    finally:
        if is_idle:
            _IDLE.keep(child)
        else:
            child.end()
    return outcome


def _last_message(child: Child, end: float, watch: Watch | None) -> TaskOutcome:
    """Return what a child says at the end of a task; call the watcher while waiting."""
    progress: tuple[float, str] = (0.0, "")
    asked = time.monotonic()
    has_begun = False
    while True:
        now = time.monotonic()
        if watch is not None and now - asked >= _TICK_S:
            asked = now
            if not watch(*progress):
                raise StoppedError("watcher")
        if now > end:
            raise StoppedError("time")
        longest = end - now if watch is None else min(_TICK_S, end - now)
        if not wait([child.connection], timeout=max(0.0, longest)):
            continue
        try:
            message = child.connection.recv()
        except (EOFError, ConnectionResetError):
            raise _end_of(child, has_begun=has_begun) from None
        if isinstance(message, TaskOutcome):
            return message
        has_begun = True
        progress = message[1]


def _end_of(child: Child, *, has_begun: bool) -> Exception:
    """Return what the end of a child means that says no more."""
    code = child.exit_code()
    if code == 0 and child.is_used and not has_begun:
        return _EndedIdleError()
    # By an operator, a container's limit, a kernel short of memory: not by the child's own limit,
    # which it would have reported.
    why = "killed" if code == -signal.SIGKILL else "crash"
    return StoppedError(why, f"exit code {code}")
