"""Calls back: delivers what is due, beside the jobs, so that a slow host delays no kit."""

from __future__ import annotations

import logging
import random
import threading
import time

from service.callbacks.destinations import Destinations, RefusedError
from service.callbacks.messages import CallbackMessage, read_message
from service.callbacks.sending import ReceiverAnswer, SendingError, post
from service.callbacks.signing import signed_headers
from service.http.problems import ProblemError
from service.jobs.answers import problem_bytes
from service.jobs.host_turns import SLOW_S, HostTurns
from service.jobs.traced import traced
from service.settings import Settings
from service.storage.job_states import HeldJob, LeaseLostError
from service.storage.store import Store

_LOG = logging.getLogger(__name__)
#: Waits after the failed attempts, s: the schedule of the Standard Webhooks specification 1.0.0.
WAITS_S = (5, 300, 1800, 7200, 18_000, 36_000, 50_400, 72_000, 86_400)
#: A wait is up to this share longer, so that what failed together is not tried together.
_JITTER = 0.1
#: Longest time of an attempt; shorter where leases are.
_TIMEOUT_S = 15.0
_SHARE_OF_LEASE = 0.75
#: Attempts at once in each process, and how often each thread looks for one. They wait for hosts
#: nearly all of the time, and half of them may wait for slow ones.
_THREADS = 8
_POLL_S = 2.0
_SUCCESS = range(200, 300)
_GONE = 410


class Caller:
    """Threads that deliver callbacks.

    Args:
        store: holds them.
        settings: with the hosts that may be called.
        stopping: set when this process is about to end.
    """

    def __init__(self, store: Store, settings: Settings, stopping: threading.Event) -> None:
        self._store = store
        self._stopping = stopping
        self._destinations = Destinations(settings.callback_hosts, settings.callback_networks)
        # Without hosts nothing is asked for, and nobody is called.
        self._count = _THREADS if settings.callback_hosts else 0
        self._turns = HostTurns(_THREADS)
        self._timeout_s = min(_TIMEOUT_S, _SHARE_OF_LEASE * settings.job_lease_seconds)
        self._threads = [
            threading.Thread(target=self._keep_calling, name=f"callbacks-{number}", daemon=True)
            for number in range(self._count)
        ]

    def start(self) -> None:
        """Start the threads."""
        for thread in self._threads:
            thread.start()

    def join(self, timeout_s: float) -> None:
        """Wait for running attempts; what is cut off is tried again by another worker."""
        until = time.monotonic() + timeout_s
        for thread in self._threads:
            thread.join(max(0.0, until - time.monotonic()))

    def call_next(self) -> bool:
        """Attempt the next callback that is due; return whether there was one."""
        work = self._turns.claim(self._store.callbacks.claim)
        if work is None:
            return False
        with traced(work):
            reply = self._reply(work)
            try:
                self._note(work, reply)
            except LeaseLostError:
                _LOG.info("a callback was given to another worker")
        return True

    def _keep_calling(self) -> None:
        while not self._stopping.is_set():
            try:
                had_one = self.call_next()
            except Exception as error:  # noqa: BLE001 - it is due again when its lease is over
                _LOG.warning("a callback could not be handled", extra={"cause": str(error)[:300]})
                had_one = False
            if not had_one:
                self._stopping.wait(_POLL_S)

    def _reply(self, work: HeldJob) -> ReceiverAnswer | str:
        """Return what the host of a callback answers, or why there is no answer."""
        began, is_quick = time.monotonic(), False
        try:
            reply = self._send(work, read_message(work.request or b""))
            is_quick = time.monotonic() - began <= SLOW_S
        except (RefusedError, SendingError) as error:
            return str(error)
        finally:
            self._turns.ended(work.host, is_quick=is_quick)
        return reply

    def _send(self, work: HeldJob, message: CallbackMessage) -> ReceiverAnswer:
        body = message.body.encode()
        headers = signed_headers(message.secret, work.id, int(time.time()), body)
        destination = self._destinations.destination(message.url)
        return post(destination, self._destinations, headers, body, self._timeout_s)

    def _note(self, work: HeldJob, reply: ReceiverAnswer | str) -> None:
        if isinstance(reply, str):
            self._failed(work, reply, 0)
        elif reply.status in _SUCCESS:
            self._store.callbacks.end(work, "succeeded")
            _LOG.info("called back", extra={"host": work.host, "attempts": work.attempts})
        else:
            why = f"the host answered {reply.status}"
            self._failed(work, why, reply.retry_after_s, is_last=reply.status == _GONE)

    def _failed(
        self, work: HeldJob, why: str, retry_after_s: int, *, is_last: bool = False
    ) -> None:
        told = {"host": work.host, "attempts": work.attempts, "why": why}
        if is_last or work.attempts > len(WAITS_S):
            _LOG.error("a callback was given up", extra=told)
            detail = f"The callback was given up after attempt {work.attempts}: {why}."
            problem = ProblemError("callback-failed", 502, detail)
            self._store.callbacks.end(
                work, "failed", problem_bytes(problem, work.id, work.request_id)
            )
            return
        wait_s = max(float(WAITS_S[work.attempts - 1]), min(float(retry_after_s), WAITS_S[-1]))
        wait_s *= random.uniform(1.0, 1.0 + _JITTER)  # noqa: S311 - no secret
        _LOG.warning("a callback was not delivered", extra={**told, "next_s": round(wait_s)})
        self._store.callbacks.retry_later(work, wait_s, f"attempt {work.attempts}: {why}")
