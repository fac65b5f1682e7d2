"""The process that children are forked from may die; its successor forks the next child."""

from __future__ import annotations

import os
import signal
import time
from multiprocessing import forkserver
from pathlib import Path

import pytest

from service.jobs import worker
from service.sandbox import child
from service.settings import Settings


def run() -> object:
    return child.run(int, ("7",), seconds=600, memory_bytes=1 << 30)


def test_a_child_is_started_after_its_fork_server_was_killed() -> None:
    assert run() == 7
    child.end_idle_children()
    os.kill(forkserver._forkserver._forkserver_pid, signal.SIGKILL)  # type: ignore[attr-defined]
    # At once, while its socket may still be there.
    assert run() == 7


def test_a_start_that_ends_early_is_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    child.end_idle_children()
    start, failures = child._CONTEXT.Process.start, [EOFError(), ConnectionRefusedError()]

    def failing(process: object) -> None:
        if failures:
            raise failures.pop()
        start(process)  # type: ignore[arg-type]

    monkeypatch.setattr(child, "_WAITS_S", (0.0, 0.0, 0.0))
    monkeypatch.setattr(child._CONTEXT.Process, "start", failing)
    assert run() == 7
    assert not failures
    child.end_idle_children()
    failures.extend([EOFError()] * 3)
    with pytest.raises(child.StoppedError, match="crash"):
        run()


def test_a_worker_takes_jobs_where_no_child_was_warm(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def fails() -> None:
        raise child.TaskError("a defect of ours")

    monkeypatch.setattr(worker, "wait_until_warm", fails)
    jobs = worker.Worker(Settings(data=tmp_path))
    jobs.start()
    try:
        end = time.monotonic() + 600
        while jobs._store is None and jobs._thread.is_alive() and time.monotonic() < end:
            time.sleep(0.02)
        assert jobs._store is not None
    finally:
        jobs.stop()
        jobs.join()
