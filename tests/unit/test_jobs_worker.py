"""What a worker does with each message, and with a store or queue that cannot be reached.

Expected values follow from the text of each method; there is no outside source for them.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from service.jobs import worker as module
from service.jobs.queue import Sender
from service.jobs.worker import Worker
from service.sandbox.child import StoppedError
from service.settings import Settings
from service.storage.job_sweep import Delivery

#: Far from anything that a busy machine needs.
FAR_S = 600.0
JOB = Delivery("job", "00000000-0000-4000-8000-000000000001")
BATCH = Delivery("batch", "00000000-0000-4000-8000-000000000002", 7)


class Jobs:
    """Stands in for the table of jobs."""

    def __init__(self, *claimed: str | None) -> None:
        self.claimed = list(claimed)
        self.asked: list[Any] = []

    def claim(self, job_id: str) -> str | None:
        self.asked.append(job_id)
        return self.claimed.pop(0)

    def claim_next(self, batch_id: str, serial: int) -> str | None:
        self.asked.append((batch_id, serial))
        return self.claimed.pop(0)


class Totals:
    """Stands in for what is added up about jobs."""

    def __init__(self) -> None:
        self.writes = 0

    def write(self) -> None:
        self.writes += 1

    def count_end(self, *_: Any) -> None:
        """Count nothing."""


class Done:
    """Stands in for what runs jobs."""

    def __init__(self, *_: Any) -> None:
        self.ran: list[Any] = []
        self.has_run = threading.Event()

    def run(self, work: Any) -> None:
        self.ran.append(work)
        self.has_run.set()


@pytest.fixture(name="settings")
def _settings(tmp_path: Path) -> Settings:
    return Settings(data=tmp_path / "data", job_sweep_seconds=1, job_slots=1)


@pytest.fixture(name="sent")
def _sent(monkeypatch: pytest.MonkeyPatch) -> list[Delivery]:
    sent: list[Delivery] = []

    def deliver(_: Sender, message: Delivery) -> bool:
        sent.append(message)
        return True

    monkeypatch.setattr(Sender, "deliver", deliver)
    return sent


def handled(worker: Worker, message: Delivery, *claimed: str | None) -> list[Any]:
    runner, jobs = Done(), Jobs(*claimed)
    worker._handle(message, SimpleNamespace(jobs=jobs), runner)  # type: ignore[arg-type]
    return runner.ran


def test_a_job_runs_unless_another_worker_has_it(settings: Settings, sent: list[Delivery]) -> None:
    worker = Worker(settings)
    assert handled(worker, JOB, "work") == ["work"]
    assert handled(worker, JOB, None) == []
    assert sent == []


def test_a_batchs_message_is_sent_on_while_its_job_runs(
    settings: Settings, sent: list[Delivery]
) -> None:
    worker = Worker(settings)
    assert handled(worker, BATCH, "first") == ["first"]
    assert sent == [BATCH]
    # Its last job was taken: the message has served.
    assert handled(worker, BATCH, None) == []
    assert sent == [BATCH]


def test_a_worker_that_stops_leaves_its_messages_to_others(
    settings: Settings, sent: list[Delivery]
) -> None:
    worker = Worker(settings)
    worker.stop()
    assert handled(worker, JOB) == []
    assert sent == [JOB]


@pytest.fixture(name="started")
def _started(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Iterator[Worker]:
    """A worker whose children are warm."""
    monkeypatch.setattr(module, "warm_up", lambda: None)
    monkeypatch.setattr(module, "wait_until_warm", lambda: None)
    worker = Worker(settings)
    yield worker
    worker.stop()
    worker.join()
    assert not worker._thread.is_alive()


def test_a_message_reaches_the_runner(
    settings: Settings, started: Worker, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = Done()
    monkeypatch.setattr(module, "Runner", lambda *_: done)
    store = SimpleNamespace(jobs=Jobs("work"), job_totals=Totals(), close=lambda: None)
    monkeypatch.setattr(module, "Store", lambda _: store)
    monkeypatch.setattr(module, "sweep", lambda *_: [])
    settings.data.mkdir()
    started.start()
    assert Sender(settings).deliver(JOB)
    assert done.has_run.wait(FAR_S)
    assert done.ran == ["work"]


def test_a_store_that_cannot_be_opened_is_tried_again(
    started: Worker, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    opened = threading.Event()

    def slow() -> None:
        raise StoppedError("time")

    def open_store(_: Worker) -> None:
        if not caplog.records or "the sweep of jobs failed" not in caplog.text:
            raise OSError("away")
        opened.set()

    monkeypatch.setattr(module, "wait_until_warm", slow)
    monkeypatch.setattr(Worker, "_open", open_store)
    started.start()
    assert opened.wait(FAR_S)
    assert "child processes are slow to start" in caplog.text


def test_what_the_queue_does_not_take_is_swept_up_again(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    worker, taken_back = Worker(settings), []
    worker._sweep()
    answers = iter([True, False])
    monkeypatch.setattr(Sender, "deliver", lambda *_: next(answers))
    monkeypatch.setattr(module, "sweep", lambda *_: [JOB, BATCH, JOB])
    monkeypatch.setattr(module, "take_back", lambda _, unsent: taken_back.extend(unsent))
    worker._store = SimpleNamespace(jobs=None, job_totals=Totals())  # type: ignore[assignment]
    worker._sweep()
    assert taken_back == [BATCH, JOB]
