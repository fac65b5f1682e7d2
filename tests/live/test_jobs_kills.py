"""Workers and servers killed in mid-job, messages lost: every job ends once, with its bytes."""

from __future__ import annotations

import contextlib
import signal
import sqlite3
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
import requests

from tests.live import live_jobs

MakeServer = Callable[..., Any]
# Each starts several processes, which takes its time on a busy machine.
pytestmark = pytest.mark.timeout(900)
LONG = [pytest.mark.long, pytest.mark.timeout(900)]


def _kill_in_mid_job(worker: Any, data: Any, dead: set[tuple[str, int]]) -> None:
    """Kill a worker as soon as it does a job.

    ``dead`` gathers the tries that were cut short.
    """
    until = time.monotonic() + 600
    while not live_jobs.running(data) - dead:
        assert time.monotonic() < until
        time.sleep(0.01)
    worker.kill()
    dead |= live_jobs.running(data)


@pytest.mark.parametrize("kills", [1, pytest.param(50, marks=LONG)])
def test_a_worker_killed_in_mid_job_loses_and_doubles_nothing(
    make_server: MakeServer, kills: int
) -> None:
    server = make_server(command=live_jobs.SERVER, **live_jobs.QUICK)
    bodies = {
        live_jobs.submit(server.url, body): body
        for body in (live_jobs.slower_kit(f"Kit {n}") for n in range(kills + 2))
    }
    worker = make_server(data=server.data, command=live_jobs.WORKER, **live_jobs.QUICK)
    dead: set[tuple[str, int]] = set()
    while len(dead) < kills:
        _kill_in_mid_job(worker, server.data, dead)
        worker.start()
    ended = live_jobs.wait_for(server.url, bodies, 600)
    for link, body in bodies.items():
        live_jobs.check_kit(server.url, ended[link], body)
    assert live_jobs.count_kits(server.url) == len(bodies)
    # Each kill cost one try of one job; on a busy machine a living worker may be considered dead.
    assert sum(job["attempts"] for job in ended.values()) >= len(bodies) + kills
    assert worker.stop() == 0, worker.log.read_text()
    assert server.stop() == 0, server.log.read_text()


#: Serves with a sender that dies instead of sending.
DIES_SENDING = (
    "import os, signal, sys\n"
    "from service.jobs import queue\n"
    "queue.Sender.deliver = lambda *_: os.kill(os.getpid(), signal.SIGKILL)\n"
    "from service.cli import main\n"
    "sys.exit(main(['serve', '--no-worker', '--port', sys.argv[1]]))\n"
)


@pytest.mark.long
def test_a_server_killed_between_keeping_a_job_and_sending_it(make_server: MakeServer) -> None:
    server = make_server(command=("-c", DIES_SENDING, "{port}"), **live_jobs.QUICK)
    body = live_jobs.small_kit("Killed before it was sent")
    headers = {**live_jobs.ASYNC, "Idempotency-Key": "k"}
    with pytest.raises(requests.ConnectionError):
        requests.post(f"{server.url}/v1/kits", json=body, headers=headers, timeout=600)
    make_server(data=server.data, command=live_jobs.WORKER, **live_jobs.QUICK)
    # Asked again, as a client does that was not answered: it is the same job.
    link = live_jobs.submit(server.url, body, "k")
    ended = live_jobs.wait_for(server.url, [link], 600)
    live_jobs.check_kit(server.url, ended[link], body)
    assert ended[link]["attempts"] == 1
    assert live_jobs.count_kits(server.url) == 1


@pytest.mark.long
def test_lost_messages_are_sent_anew(make_server: MakeServer) -> None:
    server = make_server(command=live_jobs.SERVER, **live_jobs.QUICK)
    bodies = {
        live_jobs.submit(server.url, body): body
        for body in (live_jobs.small_kit(f"Lost {n}") for n in range(5))
    }
    batch = {"requests": [live_jobs.small_kit(f"Lost in a batch {n}") for n in range(5)]}
    response = requests.post(f"{server.url}/v1/batches", json=batch, timeout=600).json()
    with contextlib.closing(sqlite3.connect(server.data / "queue.sqlite")) as queue:
        assert queue.execute("delete from task").rowcount == 6
        queue.commit()
    worker = make_server(data=server.data, command=live_jobs.WORKER, **live_jobs.QUICK)
    ended = live_jobs.wait_for(server.url, bodies, 600)
    for link, body in bodies.items():
        live_jobs.check_kit(server.url, ended[link], body)
    live_jobs.wait_for_batch(server.url, response["href"], 600)
    assert live_jobs.count_kits(server.url) == 10
    assert worker.stop() == 0


@pytest.mark.long
def test_a_worker_told_to_stop_gives_its_job_back_at_no_cost(make_server: MakeServer) -> None:
    # No lease runs out here: what is given back need not wait for that.
    patient = {**live_jobs.QUICK, "QUARTERSEAM_JOB_LEASE_SECONDS": "300"}
    server = make_server(command=live_jobs.SERVER, **patient)
    body = live_jobs.slower_kit("Given back", effort="normal")
    link = live_jobs.submit(server.url, body)
    for _ in range(2):
        worker = make_server(data=server.data, command=live_jobs.WORKER, **patient)
        until = time.monotonic() + 600
        while not live_jobs.running(server.data):
            assert time.monotonic() < until
            time.sleep(0.01)
        worker.process.send_signal(signal.SIGTERM)
        assert worker.process.wait(600) == 0, worker.log.read_text()
        assert not live_jobs.running(server.data)
    make_server(data=server.data, command=live_jobs.WORKER, **patient)
    ended = live_jobs.wait_for(server.url, [link], 600)
    live_jobs.check_kit(server.url, ended[link], body)
    assert ended[link]["attempts"] == 3


@pytest.mark.parametrize("each", [pytest.param(each, marks=LONG) for each in (3, 50)])
def test_jobs_of_four_clients_at_once_on_sqlite(make_server: MakeServer, each: int) -> None:
    server = make_server(QUARTERSEAM_JOB_LEASE_SECONDS="300")

    def ask(client: int) -> dict[str, dict[str, Any]]:
        bodies = [live_jobs.small_kit(f"Client {client}, kit {n}") for n in range(each)]
        return {live_jobs.submit(server.url, body): body for body in bodies}

    with ThreadPoolExecutor(4) as pool:
        parts = list(pool.map(ask, range(4)))
    bodies = {link: body for part in parts for link, body in part.items()}
    assert len(bodies) == 4 * each
    ended = live_jobs.wait_for(server.url, bodies, 600)
    for link, body in bodies.items():
        live_jobs.check_kit(server.url, ended[link], body)
    assert {job["attempts"] for job in ended.values()} == {1}
    assert live_jobs.count_kits(server.url) == 4 * each
    assert server.stop() == 0
    log = server.log.read_text()
    assert "locked" not in log
    assert '"level":"ERROR"' not in log
