"""Runs a task in a child process that is killed when it exceeds its time or memory.

A thread of the server cannot be stopped, least of all inside a C library; a process can. The
children are forked from a clean server process that has everything imported, so that starting one
takes milliseconds and it inherits no locks. Servers and workers fork that process from their own
(``fork_server``); elsewhere the first child starts it.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import resource
import signal
import threading
import time
import traceback
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection, wait
from typing import Any

from geometry.errors import GeometryError
from service.errors import RequestError, of_geometry

_CONTEXT = multiprocessing.get_context("forkserver")
_CONTEXT.set_forkserver_preload(["service.sandbox.warm"])
#: A priority lower than the server's own, so that small requests are answered beside heavy ones.
LOW_PRIORITY = 10
#: How often the watcher of a child is called.
_TICK_S = 0.25
_REPORTS_APART_S = 0.1

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


def warm_up() -> None:
    """Start the process that children are forked from, before the first child is needed."""
    from multiprocessing import forkserver  # noqa: PLC0415 - only servers need it

    forkserver.ensure_running()


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
) -> Any:  # noqa: ANN401 - whatever the task returns
    """Return what a task returns, computed in a child.

    Args:
        task: a function that can be imported by its name.
        arguments: what it takes.
        seconds: after which the child is killed.
        memory_bytes: address space that the child can have.
        watch: asked several times a second; the task must take ``progress`` then.
        niceness: of the child, above the server's own.

    Raises:
        RequestError: when the task rejects the request.
        StoppedError: when the child had to be killed, or died.
        TaskError: when the task failed.
    """
    receiver, sender = _CONTEXT.Pipe(duplex=False)
    child = _CONTEXT.Process(
        target=_work,
        args=(sender, task, arguments, (seconds, memory_bytes, niceness), watch is not None),
        daemon=True,
    )
    child.start()
    sender.close()
    try:
        return _outcome(receiver, child, time.monotonic() + seconds, watch)
    finally:
        if child.is_alive():
            child.kill()
        child.join(5)
        # On a busy machine it may end later.
        with contextlib.suppress(ValueError):
            child.close()
        receiver.close()


def _outcome(
    receiver: Connection,
    child: Any,  # noqa: ANN401 - a process of that context
    end: float,
    watch: Watch | None,
) -> Any:  # noqa: ANN401 - a task's own
    kind, value = _next(receiver, child, end, watch)
    if kind == "done":
        return value
    if kind == "refused":
        raise value
    if kind == "memory":
        raise StoppedError("memory")
    raise TaskError(value)


def _next(
    receiver: Connection,
    child: Any,  # noqa: ANN401 - as above
    end: float,
    watch: Watch | None,
) -> tuple[str, Any]:
    """Return a child's last message; call the watcher while waiting."""
    progress: tuple[float, str] = (0.0, "")
    asked = time.monotonic()
    while True:
        now = time.monotonic()
        if watch is not None and now - asked >= _TICK_S:
            asked = now
            if not watch(*progress):
                raise StoppedError("watcher")
        if now > end:
            raise StoppedError("time")
        longest = end - now if watch is None else min(_TICK_S, end - now)
        if not wait([receiver], timeout=max(0.0, longest)):
            continue
        try:
            kind, value = receiver.recv()
        except EOFError:
            child.join(5)
            # By an operator, a container's limit, a kernel short of memory: not by the child's own
            # limit, which it would have reported.
            why = "killed" if child.exitcode == -signal.SIGKILL else "crash"
            raise StoppedError(why, f"exit code {child.exitcode}") from None
        if kind != "progress":
            return kind, value
        progress = value


def _work(
    sender: Connection,
    task: Callable[..., Any],
    arguments: Sequence[Any],
    limits: tuple[float, int, int],
    watched: bool,  # noqa: FBT001 - a positional argument of a process
) -> None:
    """Do a task and send what came of it; runs in the child."""
    _limit(*limits)
    more = {"progress": _reporter(sender)} if watched else {}
    try:
        outcome: tuple[str, Any] = ("done", task(*arguments, **more))
    except RequestError as error:
        outcome = ("refused", error)
    except GeometryError as error:
        outcome = ("refused", of_geometry(error))
    except MemoryError:
        outcome = ("memory", None)
    except Exception:  # noqa: BLE001 - the parent must learn of any failure
        outcome = ("failed", traceback.format_exc())
    try:
        sender.send(outcome)
    except MemoryError:
        sender.send(("memory", None))
    sender.close()


def _reporter(sender: Connection) -> Callable[[float, str], None]:
    """Return the function that a task calls to report progress; drops calls that come too often."""
    last = [-1.0]

    def report(done: float, phase: str) -> None:
        now = time.monotonic()
        if now - last[0] >= _REPORTS_APART_S:
            last[0] = now
            sender.send(("progress", (min(1.0, max(0.0, done)), phase)))

    return report


def _limit(seconds: float, memory_bytes: int, niceness: int) -> None:
    """Bound what this child can take, whatever becomes of its parent."""
    threading.Thread(target=_die_with_parent, daemon=True).start()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    # A last resort: the parent kills by the clock long before.
    cpu = int(seconds) + 5
    resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu + 1))
    resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    with contextlib.suppress(OSError):
        os.nice(niceness)


def _die_with_parent() -> None:
    """End this process when its parent ends; the fork server would keep it otherwise."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)
