"""Run jobs until stopped (SIGTERM or Ctrl-C); running jobs are then released.

Any number of workers, on any number of machines, share the work of the servers that have the same
database, queue and data folder.
"""

from __future__ import annotations

import argparse
import contextlib
import signal
import threading
from collections.abc import Callable
from pathlib import Path

from service.serving import memory_budget
from service.serving.early_children import fork_children_early, fork_children_here
from service.settings import SettingsError, from_environment
from service.tracing import json_lines, otel, spans

_MAX_SLOTS = 64


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("--slots", type=int, help="jobs at once (QUARTERSEAM_JOB_SLOTS)")
    parser.add_argument(
        "--heartbeat-file",
        type=Path,
        help="file that is touched every few seconds, for python -m service healthy",
    )


def run(stated: argparse.Namespace) -> int:
    """Work; return the exit code.

    Raises:
        SettingsError: when the number of jobs is out of range.
    """
    settings = from_environment()
    slots = settings.job_slots if stated.slots is None else stated.slots
    if not 1 <= slots <= _MAX_SLOTS:
        raise SettingsError((f"A worker runs from 1 to {_MAX_SLOTS} jobs at once, not {slots}.",))
    settings = memory_budget.fitted(settings, 1, slots, memory_budget.container_limit())
    fork_children_early(settings)
    # Where that is not possible.
    fork_children_here(settings)
    from service.jobs.worker import Worker  # noqa: PLC0415 - only this command needs it

    json_lines.set_up(settings.log_level)
    # It starts a thread, and a process with several cannot be forked from.
    otel.set_up()
    stopped = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: stopped.set())
    worker = Worker(settings, slots, _touching(stated.heartbeat_file))
    worker.start()
    stopped.wait()
    worker.stop()
    worker.join()
    spans.end()
    return 0


def _touching(path: Path | None) -> Callable[[], None] | None:
    """Return what touches a file; a full disk stops no worker."""
    if path is None:
        return None

    def touch() -> None:
        with contextlib.suppress(OSError):
            path.touch()

    return touch
