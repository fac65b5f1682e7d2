"""Does jobs as they are delivered, and looks for those that were lost."""

from __future__ import annotations

import logging
import threading
from typing import Any

from service.jobs.answers import DIED, problem_bytes
from service.jobs.queue import Queue, Sender
from service.jobs.runner import Runner
from service.sandbox.child import StoppedError, wait_until_warm, warm_up
from service.settings import Settings
from service.storage.job_sweep import Delivery, sweep
from service.storage.store import Store

_LOG = logging.getLogger(__name__)
_STOP_S = 10.0


class Worker:
    """Threads that do jobs, and one that sweeps.

    Args:
        settings: which store and queue, how many at once.
        slots: how many jobs at once; the settings' when ``None``.
    """

    def __init__(self, settings: Settings, slots: int | None = None) -> None:
        self._settings = settings
        self._slots = settings.job_slots if slots is None else slots
        self._stopping = threading.Event()
        self._sender = Sender(settings)
        self._store: Store | None = None
        self._consumer: Any = None
        self._thread = threading.Thread(target=self._mind, name="jobs", daemon=True)

    def start(self) -> None:
        """Begin; neither store nor queue need be there yet."""
        self._thread.start()

    def stop(self) -> None:
        """End soon: what is being done is given back."""
        self._stopping.set()
        if self._consumer is not None:
            self._consumer.stop_flag.set()

    def join(self) -> None:
        """Wait until all is given back, or for as long as is decent."""
        self._thread.join(_STOP_S)

    def _mind(self) -> None:
        """Open what is needed, then sweep now and then until told to stop."""
        warm_up()
        self._settle()
        while not self._stopping.is_set():
            try:
                self._open()
                self._sweep()
            except Exception as error:  # noqa: BLE001 - tried again soon
                _LOG.warning("jobs cannot be looked after now", extra={"cause": str(error)[:300]})
            self._stopping.wait(self._settings.job_sweep_seconds)
        if self._consumer is not None:
            for _, thread in self._consumer.worker_threads:
                thread.join(_STOP_S / 2)
        if self._store is not None:
            self._store.close()

    def _settle(self) -> None:
        """Wait until jobs can be done at once: one that is taken must not wait for that."""
        try:
            wait_until_warm()
        except StoppedError:
            _LOG.warning("children are slow to start")

    def _open(self) -> None:
        if self._store is None:
            self._store = Store(self._settings)
        if self._consumer is None:
            runner = Runner(self._store, self._settings, self._stopping)
            store = self._store
            queue = Queue(self._settings, lambda message: self._do(message, store, runner))
            consumer = queue.consumer(self._slots)
            consumer.start()
            self._consumer = consumer
        else:
            self._consumer.check_worker_health()

    def _sweep(self) -> None:
        if self._store is None:
            return
        died = problem_bytes(DIED, "", "")
        for message in sweep(self._store.jobs, died):
            if not self._sender.deliver(message):
                return

    def _do(self, message: Delivery, store: Store, runner: Runner) -> None:
        """Do what a message says there is."""
        if self._stopping.is_set():
            self._sender.deliver(message)
            return
        if message.kind == "job":
            work = store.jobs.claim(message.id)
        else:
            work = store.jobs.claim_next(message.id, message.serial)
            if work is not None:
                # Others may take the next one while this one is being done.
                self._sender.deliver(message)
        if work is not None:
            runner.run(work)
