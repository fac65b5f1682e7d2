"""Databases and queues that go away and come back, clocks that are wrong: every job ends once."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psycopg
import pytest
import requests

from tests.live import live_jobs

MakeServer = Callable[..., Any]
# Each starts several processes, which takes its time on a busy machine.
pytestmark = pytest.mark.timeout(900)


def _wait_until_running(postgres: Any, seconds: float = 600.0) -> None:
    until = time.monotonic() + seconds
    with psycopg.connect(postgres.url) as database:
        query = "select count(*) from jobs where state = 'running'"
        while not database.execute(query).fetchone()[0]:  # type: ignore[index]
            database.rollback()
            assert time.monotonic() < until
            time.sleep(0.02)


def _ask(url: str, many: int, name: str) -> dict[str, Any]:
    bodies = (live_jobs.slower_kit(f"{name} {n}") for n in range(many))
    return {live_jobs.submit(url, body): body for body in bodies}


def _check(url: str, bodies: dict[str, Any]) -> dict[str, Any]:
    ended = live_jobs.wait_for(url, bodies, 600)
    for link, body in bodies.items():
        live_jobs.check_kit(url, ended[link], body)
    return ended


@pytest.mark.long
@pytest.mark.postgres
def test_a_database_that_goes_away_in_mid_job_and_comes_back(
    make_server: MakeServer, postgres: Any, tmp_path: Path
) -> None:
    # The queue is in that database too, so both are gone at once.
    shared = {"data": tmp_path / "shared", "QUARTERSEAM_DATABASE": postgres.url, **live_jobs.QUICK}
    server = make_server(command=live_jobs.SERVER, **shared)
    worker = make_server(command=live_jobs.WORKER, **shared)
    bodies = _ask(server.url, 3, "Before")
    _wait_until_running(postgres)
    postgres.stop()
    refused = requests.post(
        f"{server.url}/v1/kits",
        json=live_jobs.small_kit("x"),
        headers=live_jobs.ASYNC,
        timeout=600,
    )
    assert refused.status_code == 503
    time.sleep(4)
    postgres.start()
    bodies |= _ask(server.url, 2, "After")
    _check(server.url, bodies)
    assert live_jobs.count_kits(server.url) == len(bodies)
    assert worker.stop() == 0, worker.log.read_text()
    assert server.stop() == 0, server.log.read_text()


@pytest.mark.postgres
@pytest.mark.redis
def test_a_queue_that_goes_away_and_comes_back_empty(
    make_server: MakeServer, postgres: Any, redis_server: Any, tmp_path: Path
) -> None:
    shared = {
        "data": tmp_path / "shared",
        "QUARTERSEAM_DATABASE": postgres.url,
        "QUARTERSEAM_QUEUE": redis_server.url,
        **live_jobs.QUICK,
    }
    server = make_server(command=live_jobs.SERVER, **shared)
    worker = make_server(command=live_jobs.WORKER, **shared)
    bodies = _ask(server.url, 2, "Before")
    _wait_until_running(postgres)
    redis_server.stop()
    # Without a queue jobs are still taken in; they are sent once there is one.
    bodies |= _ask(server.url, 1, "Meanwhile")
    time.sleep(1)
    redis_server.start()
    bodies |= _ask(server.url, 1, "After")
    _check(server.url, bodies)
    assert live_jobs.count_kits(server.url) == len(bodies)
    assert worker.stop() == 0, worker.log.read_text()


def _shifted(hours: int) -> tuple[str, ...]:
    """Return what goes before a command that is to believe in another time."""
    if shutil.which("faketime") is None:
        pytest.skip("faketime is not installed: wrong clocks were NOT tried")
    # Timers go on as they are; only what time it is is another.
    return ("env", "FAKETIME_DONT_FAKE_MONOTONIC=1", "faketime", "-f", f"{hours:+d}h")


@pytest.mark.postgres
@pytest.mark.long
@pytest.mark.parametrize("hours", [-3, 3])
def test_a_machine_whose_clock_is_wrong(
    make_server: MakeServer, postgres: Any, tmp_path: Path, hours: int
) -> None:
    shared = {"data": tmp_path / "shared", "QUARTERSEAM_DATABASE": postgres.url, **live_jobs.QUICK}
    server = make_server(command=live_jobs.SERVER, **shared)
    wrong = make_server(command=live_jobs.WORKER, before=_shifted(hours), **shared)
    bodies = _ask(server.url, 2, "Any")
    _wait_until_running(postgres)
    # It dies in mid-job: how long its lease lasts is found by the database's clock, not by its own.
    wrong.kill()
    right = make_server(command=live_jobs.WORKER, **shared)
    ended = _check(server.url, bodies)
    # And the other way about: the one with the wrong clock takes over from the right one.
    more = _ask(server.url, 2, "More")
    _wait_until_running(postgres)
    right.kill()
    wrong.start()
    _check(server.url, more)
    for job in ended.values():
        # AnswerSchema by the database, not by the worker that was three hours off.
        age = datetime.now(UTC) - datetime.fromisoformat(job["started_at"])
        assert abs(age.total_seconds()) < 900
    assert live_jobs.count_kits(server.url) == len(bodies) + len(more)


@pytest.mark.long
def test_a_clock_that_is_set_back_under_one_file(make_server: MakeServer) -> None:
    server = make_server(command=live_jobs.SERVER, **live_jobs.QUICK)
    bodies = _ask(server.url, 2, "Set back")
    worker = make_server(data=server.data, command=live_jobs.WORKER, **live_jobs.QUICK)
    until = time.monotonic() + 600
    while not live_jobs.running(server.data):
        assert time.monotonic() < until
        time.sleep(0.01)
    worker.kill()
    # Three hours earlier now than when the job was taken: its lease cannot be one.
    worker.before = _shifted(-3)
    worker.start()
    _check(server.url, bodies)
    assert live_jobs.count_kits(server.url) == len(bodies)


@pytest.mark.long
def test_rubbish_in_the_queue_is_passed_over(make_server: MakeServer) -> None:
    server = make_server(**live_jobs.QUICK)
    link = live_jobs.submit(server.url, live_jobs.small_kit("First"))
    live_jobs.wait_for(server.url, [link], 600)
    with contextlib.closing(sqlite3.connect(server.data / "queue.sqlite", timeout=600)) as queue:
        for data in (
            b"\x80\x04\x95",
            b"[]",
            b'["1", "service.jobs.queue.deliver", null, 0, 0, null, ["job", "../../x", 0], {}]',
            b'{"value": 1}',
            b"null",
        ):
            queue.execute("insert into task (queue, data) values ('quarterseam', ?)", (data,))
        queue.commit()
    body = live_jobs.small_kit("Second")
    link = live_jobs.submit(server.url, body)
    ended = live_jobs.wait_for(server.url, [link], 600)
    live_jobs.check_kit(server.url, ended[link], body)
