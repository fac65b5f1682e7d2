"""Following jobs on the real server: events as they come, and threads left for everybody else."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import Any

import pytest
import requests

from tests.live import live_jobs

MakeServer = Callable[..., Any]
# Each starts several processes, which takes its time on a busy machine.
pytestmark = pytest.mark.timeout(900)


def _last_seen(names: list[str]) -> dict[str, str]:
    numbers = [line.partition(": ")[2] for line in names if line.startswith("id")]
    return {"Last-Event-ID": numbers[-1]} if numbers else {}


def _follow(
    stack: ExitStack, url: str, link: str, headers: dict[str, str] | None = None
) -> Iterator[str]:
    address = f"{url}{link}/events"
    answer = stack.enter_context(requests.get(address, stream=True, headers=headers, timeout=600))
    assert answer.status_code == 200, answer.text
    assert answer.headers["Content-Type"] == "text/event-stream"
    return (line.decode() for line in answer.iter_lines(chunk_size=1) if line)


@pytest.mark.long
def test_events_come_while_the_job_goes_on(make_server: MakeServer) -> None:
    server = make_server(**live_jobs.QUICK)
    link = live_jobs.submit(server.url, live_jobs.slower_kit("Followed", effort="normal"))
    names: list[str] = []
    while "event: ended" not in names:
        # A stream ends after a minute; a follower asks again, as browsers do.
        with ExitStack() as stack:
            lines = _follow(stack, server.url, link, _last_seen(names))
            names += [line for line in lines if line.startswith(("event", "id"))]
    assert names[-1] == "event: ended"
    # Not only its end: at least its start and something of what it was at.
    assert names.count("event: progress") >= 2
    numbers = [int(line.partition(": ")[2]) for line in names if line.startswith("id")]
    assert numbers == sorted(set(numbers))
    # Who comes back with what was seen last learns that there is no more.
    seen = {"Last-Event-ID": str(numbers[-1])}
    again = requests.get(f"{server.url}{link}/events", headers=seen, timeout=300)
    assert again.status_code == 204


def test_those_who_follow_leave_threads_for_the_rest(make_server: MakeServer) -> None:
    server = make_server(
        command=live_jobs.SERVER,
        QUARTERSEAM_WORKERS="1",
        QUARTERSEAM_THREADS="5",
        **live_jobs.QUICK,
    )
    link = live_jobs.submit(server.url, live_jobs.small_kit("Waits"))
    with ExitStack() as stack:
        followed = [_follow(stack, server.url, link) for _ in range(2)]
        for lines in followed:
            assert next(lines) == "retry: 2000"
        refused = requests.get(f"{server.url}{link}/events", timeout=300)
        assert refused.status_code == 503
        assert refused.json()["type"] == "/problems#too-many-streams"
        for _ in range(5):
            assert requests.get(f"{server.url}/healthz", timeout=300).status_code == 200
        made = requests.post(
            f"{server.url}/v1/kits", json=live_jobs.small_kit("At once"), timeout=300
        )
        assert made.status_code == 201
        # Those who follow do not hold up the stop: their streams are ended, not cut off.
        assert server.stop() == 0, server.log.read_text()
        for lines in followed:
            assert all(not line.startswith("event: ended") for line in lines)


@pytest.mark.long
def test_a_place_is_free_again_once_somebody_stops_following(make_server: MakeServer) -> None:
    server = make_server(
        command=live_jobs.SERVER,
        QUARTERSEAM_WORKERS="1",
        QUARTERSEAM_THREADS="3",
        **live_jobs.QUICK,
    )
    link = live_jobs.submit(server.url, live_jobs.small_kit("Waits"))
    with ExitStack() as stack:
        next(_follow(stack, server.url, link))
    # The server hears of it when it next speaks: on a change, or after ten seconds.
    requests.delete(server.url + link, timeout=300)
    until = time.monotonic() + 600
    while requests.get(f"{server.url}{link}/events", timeout=300).status_code != 200:
        assert time.monotonic() < until
        time.sleep(0.2)
