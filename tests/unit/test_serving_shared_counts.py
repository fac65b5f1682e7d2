"""Connections are shared out among the processes of a server.

Expected values follow from the text of each function; there is no outside source for them.
"""

from __future__ import annotations

import os
import types
from typing import Any

import pytest
from gunicorn.workers.gthread import ThreadWorker

from service.serving import sharing_worker
from service.serving.http_worker import BufferingWorker
from service.serving.shared_counts import ConnectionCounts


def test_a_forked_process_and_its_parent_see_each_others_counts() -> None:
    counts = ConnectionCounts(2)
    first, second = counts.take_place(1), counts.take_place(2)
    assert first is not None
    assert second is not None
    counts.publish(first, 1)
    child = os.fork()
    if child == 0:
        counts.publish(second, 0 if counts.another_has_fewer(second) else 3)
        os._exit(0)
    os.waitpid(child, 0)
    assert not counts.another_has_fewer(first)
    assert counts.another_has_fewer(second)


def test_a_process_that_has_not_begun_or_is_stopping_or_has_ended_is_not_waited_for() -> None:
    counts = ConnectionCounts(2)
    mine, other = counts.take_place(1), counts.take_place(2)
    assert mine is not None
    assert other is not None
    counts.publish(mine, 5)
    assert not counts.another_has_fewer(mine)
    counts.publish(other, 0)
    assert counts.another_has_fewer(mine)
    counts.close(other)
    assert not counts.another_has_fewer(mine)
    counts.publish(other, 0)
    counts.end(2)
    assert not counts.another_has_fewer(mine)
    assert counts.take_place(3) == other


def test_a_process_without_a_place_takes_connections_all_the_same() -> None:
    counts = ConnectionCounts(1)
    places = [counts.take_place(owner) for owner in range(20)]
    assert None in places
    worker = _worker(counts, None)
    assert not worker.gives_way()


def _worker(counts: ConnectionCounts, place: int | None) -> Any:
    worker = BufferingWorker.__new__(BufferingWorker)
    worker.counts, worker.place = counts, place
    worker.sockets, worker.alive, worker._accepting = [], True, True
    worker._resume_at, worker._may_take = 0.0, 0
    worker.nr_conns = 0
    return worker


def test_a_connection_is_left_to_the_process_with_fewer_for_a_moment(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    now = [100.0]
    monkeypatch.setattr(sharing_worker, "time", types.SimpleNamespace(monotonic=lambda: now[0]))
    waits: list[float] = []
    monkeypatch.setattr(
        ThreadWorker, "wait_for_and_dispatch_events", lambda _, timeout: waits.append(timeout)
    )
    counts = ConnectionCounts(2)
    one, other = (_worker(counts, counts.take_place(number)) for number in (1, 2))
    # Neither has any: the first to wake takes it.
    assert not one.gives_way()
    one.nr_conns += 1
    assert one.gives_way()
    assert not one._accepting
    # No pass of the loop takes connections before the moment is over, and none sleeps longer.
    one.set_accept_enabled(True)
    assert not one._accepting
    one.wait_for_and_dispatch_events(1.0)
    assert waits == [pytest.approx(0.01)]
    now[0] += 0.011
    one.set_accept_enabled(True)
    assert one._accepting
    # The other did not take it; one is taken here, and the next is left to the other again.
    assert not one.gives_way()
    one.nr_conns += 1
    assert one.gives_way()
    # Where the other did, the turns go on.
    other.nr_conns += 2
    assert not one.gives_way()
    assert not other.gives_way()
