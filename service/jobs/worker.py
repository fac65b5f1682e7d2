"""Runs jobs as they are delivered, and sweeps for lost ones."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from typing import Any

from sqlalchemy.exc import SQLAlchemyError

from service.jobs.answers import DIED, problem_bytes
from service.jobs.caller import Caller
from service.jobs.queue import Queue, Sender
from service.jobs.runner import Runner
from service.sandbox.child import StoppedError, TaskError, wait_until_warm, warm_up
from service.settings import Settings
from service.storage.job_sweep import Delivery, sweep, take_back
from service.storage.store import Store

_LOG = logging.getLogger(__name__)
_STOP_S = 10.0
#: Seconds between signs of life; sweeps may be further apart.
_ALIVE_S = 10.0


class Worker:
    """Threads that run jobs, and one that sweeps.

    Args:
        settings: with the store, the queue and the number of jobs at once.
        slots: how many jobs run at once; the settings' number when ``None``.
        alive: is called every few seconds after the first sweep, by the thread that sweeps.
    """

    def __init__(
        self, settings: Settings, slots: int | None = None, alive: Callable[[], None] | None = None
    ) -> None:
        self._settings = settings
        self._alive = alive
        self._slots = settings.job_slots if slots is None else slots
        self._stopping = threading.Event()
        self._sender = Sender(settings)
        self._store: Store | None = None
        self._consumer: Any = None
        self._caller: Caller | None = None
        self._thread = threading.Thread(target=self._keep_running, name="jobs", daemon=True)

    def start(self) -> None:
        """Start; store and queue may be unreachable at first."""
        self._thread.start()

    def stop(self) -> None:
        """Stop soon; running jobs are released."""
        self._stopping.set()
        if self._consumer is not None:
            self._consumer.stop_flag.set()

    def join(self) -> None:
        """Wait until all jobs are released, for a limited time."""
        self._thread.join(_STOP_S)

    def _keep_running(self) -> None:
        """Open store and queue, then sweep regularly until the worker stops."""
        warm_up()
        self._warm_up()
        while not self._stopping.is_set():
            try:
                self._open()
                self._sweep()
            except Exception as error:  # noqa: BLE001 - tried again at the next sweep
                _LOG.warning("the sweep of jobs failed", extra={"cause": str(error)[:300]})
            self._pause()
        if self._consumer is not None:
            for _, thread in self._consumer.worker_threads:
                thread.join(_STOP_S / 2)
        if self._caller is not None:
            self._caller.join(_STOP_S / 2)
        if self._store is not None:
            self._write_totals(self._store)
            self._store.close()

    def _pause(self) -> None:
        """Wait for the next sweep, or until the worker stops."""
        until = time.monotonic() + self._settings.job_sweep_seconds
        while not self._stopping.is_set() and (left := until - time.monotonic()) > 0.0:
            if self._alive is not None:
                self._alive()
            self._stopping.wait(min(_ALIVE_S, left))

    def _write_totals(self, store: Store) -> None:
        try:
            store.job_totals.write()
        except SQLAlchemyError as error:
            _LOG.warning("figures of jobs were not written", extra={"cause": str(error)[:300]})

    def _warm_up(self) -> None:
        """Wait until child processes start quickly, so that a leased job need not wait for that."""
        try:
            wait_until_warm()
        except (StoppedError, TaskError) as error:
            # Jobs are taken all the same: each starts a child of its own.
            _LOG.warning("child processes are slow to start", extra={"cause": str(error)[:300]})

    def _open(self) -> None:
        if self._store is None:
            self._store = Store(self._settings)
        if self._consumer is None:
            runner = Runner(self._store, self._settings, self._stopping)
            store = self._store
            queue = Queue(self._settings, lambda message: self._handle(message, store, runner))
            consumer = queue.consumer(self._slots)
            consumer.start()
            self._consumer = consumer
            self._caller = Caller(self._store, self._settings, self._stopping)
            self._caller.start()
        else:
            self._consumer.check_worker_health()

    def _sweep(self) -> None:
        if self._store is None:
            return
        died = problem_bytes(DIED, "", "")
        self._write_totals(self._store)
        messages = sweep(self._store.jobs, died, self._store.job_totals.count_end)
        for index, message in enumerate(messages):
            if not self._sender.deliver(message):
                take_back(self._store.jobs, messages[index:])
                return

    def _handle(self, message: Delivery, store: Store, runner: Runner) -> None:
        """Handle a message."""
        if self._stopping.is_set():
            self._sender.deliver(message)
            return
        if message.kind == "job":
            work = store.jobs.claim(message.id)
        else:
            work = store.jobs.claim_next(message.id, message.serial)
            if work is not None:
                # Another thread can take the next one while this one runs.
                self._sender.deliver(message)
        if work is not None:
            runner.run(work)
