"""Computations wait for each other, in order; heavy ones never take every place."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import pytest

from service.errors import BusyError
from service.http.problems import problem_of
from service.sandbox.concurrency import ActiveRequests, ConcurrencyLimiter

_LONG_S = 120.0


def _limiter(
    running: int, *, waiting: int = 64, heavy: int = 0, timeout_s: float = _LONG_S
) -> ConcurrencyLimiter:
    return ConcurrencyLimiter(running, waiting, heavy, timeout_s)


@contextmanager
def _threads(*threads: threading.Thread) -> Iterator[None]:
    for each in threads:
        each.start()
    try:
        yield
    finally:
        for each in threads:
            each.join(_LONG_S)
            assert not each.is_alive()


def test_sixty_four_modest_computations_wait_for_each_other() -> None:
    limiter = _limiter(1)
    lock, inside, most, done = threading.Lock(), 0, 0, 0

    def work() -> None:
        nonlocal inside, most, done
        with limiter.running(modest=True):
            with lock:
                inside += 1
                most = max(most, inside)
            with lock:
                inside -= 1
                done += 1

    with _threads(*(threading.Thread(target=work) for _ in range(64))):
        pass
    assert (most, done) == (1, 64)


def test_one_more_than_may_wait_is_refused() -> None:
    limiter = _limiter(1, waiting=0)
    with limiter.running(modest=True):
        with pytest.raises(BusyError) as refused, limiter.running(modest=True):
            pass
        assert (problem_of(refused.value).slug, problem_of(refused.value).status) == ("busy", 503)
        assert problem_of(refused.value).headers["Retry-After"] == "5"
    with limiter.running(modest=True):
        pass


def test_what_waits_too_long_is_refused_and_takes_no_place() -> None:
    limiter = _limiter(1, timeout_s=0.01)
    with limiter.running(modest=True), pytest.raises(BusyError), limiter.running(modest=True):
        pass
    with limiter.running(modest=True):
        pass


def test_heavy_computations_leave_a_place_to_modest_ones() -> None:
    limiter = _limiter(3)
    with ExitStack() as stack:
        for _ in range(2):
            stack.enter_context(limiter.running(modest=False))
        with pytest.raises(BusyError), limiter.running(modest=False):
            pass
        with limiter.running(modest=True):
            pass


def test_the_only_place_is_for_both() -> None:
    limiter = _limiter(1, heavy=1)
    with limiter.running(modest=False):
        pass
    with limiter.running(modest=True):
        pass


def test_they_run_in_the_order_in_which_they_came() -> None:
    limiter, order = _limiter(1), list[int]()
    queued = threading.Semaphore(0)

    def work(number: int) -> None:
        queued.release()
        with limiter.running(modest=True):
            order.append(number)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(8)]
    with limiter.running(modest=True):
        for count, each in enumerate(threads, start=1):
            each.start()
            while limiter.waiting < count:
                queued.acquire(timeout=0.01)
    for each in threads:
        each.join(_LONG_S)
    assert order == list(range(8))


def test_a_process_that_ends_refuses_what_still_waits() -> None:
    limiter, refused = _limiter(1), threading.Event()

    def work() -> None:
        try:
            with limiter.running(modest=True):
                pass
        except BusyError:
            refused.set()

    with limiter.running(modest=True), _threads(threading.Thread(target=work)):
        limiter.close(0.0)
        assert refused.wait(_LONG_S)
    with limiter.running(modest=True):
        pass


def test_a_request_that_waits_for_a_child_lets_others_work() -> None:
    active = ActiveRequests(1)
    worked = threading.Event()

    def work() -> None:
        with active.active():
            worked.set()

    with active.active(), _threads(threading.Thread(target=work)), active.paused():
        assert worked.wait(_LONG_S)


def test_no_more_requests_are_worked_on_than_may_be() -> None:
    active, lock = ActiveRequests(2), threading.Lock()
    inside, most = 0, 0

    def work() -> None:
        nonlocal inside, most
        for _ in range(50):
            with active.active():
                with active.paused():
                    pass
                with lock:
                    inside += 1
                    most = max(most, inside)
                with lock:
                    inside -= 1

    with _threads(*(threading.Thread(target=work) for _ in range(8))):
        pass
    assert 1 <= most <= 2
