"""Figures under several processes, also after one was killed; clean ends of the children."""

from __future__ import annotations

import json
import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
import requests

from tests.server_processes import answering, computing

MakeServer = Callable[..., Any]


def _answers(server: Any) -> float:
    output = requests.get(f"{server.url}/metrics", timeout=300).text
    wanted = 'quarterseam_http_requests_total{method="GET",route="/v1/shapes/<kind>",status="200"}'
    lines = [line for line in output.splitlines() if line.startswith(wanted)]
    return float(lines[0].rsplit(" ", 1)[1]) if lines else 0.0


def test_requests_to_every_process_are_counted_once(make_server: MakeServer) -> None:
    server = make_server(QUARTERSEAM_WORKERS="2")

    def ask(_: int) -> int:
        return requests.get(f"{server.url}/v1/shapes/kite", timeout=300).status_code

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(ask, range(200))) == {200}
    assert _answers(server) == 200
    # A worker dies; what it counted stays counted, and another takes its place.
    victim = answering(server.process.pid)[0]
    os.kill(victim, signal.SIGKILL)
    time.sleep(2)
    assert _answers(server) == 200
    assert ask(0) == 200
    assert _answers(server) == 201


@pytest.mark.long
def test_the_server_goes_on_when_its_processes_end_by_themselves(make_server: MakeServer) -> None:
    server = make_server(QUARTERSEAM_WORKERS="2")
    for _ in range(2):
        for worker in answering(server.process.pid):
            os.kill(worker, signal.SIGTERM)
        time.sleep(3)
        server.wait_until_ready()
    before = _answers(server)
    for _ in range(20):
        assert requests.get(f"{server.url}/v1/shapes/kite", timeout=300).status_code == 200
    assert _answers(server) == before + 20
    assert server.stop() == 0, server.log.read_text()
    log = server.log.read_text()
    assert '"level":"ERROR"' not in log, log[-3000:]


@pytest.mark.long
def test_a_callers_rate_holds_over_all_processes(make_server: MakeServer) -> None:
    server = make_server(QUARTERSEAM_WORKERS="2", QUARTERSEAM_RATE_PER_MINUTE="60")
    began = time.monotonic()

    def ask(_: int) -> int:
        # A connection each: they are spread over both processes.
        return requests.get(f"{server.url}/v1/shapes/kite", timeout=300).status_code

    with ThreadPoolExecutor(8) as pool:
        statuses = list(pool.map(ask, range(150)))
    gained = time.monotonic() - began + 10.0
    assert set(statuses) == {200, 429}
    # Waiting for the server to be ready has spent some.
    assert 40 <= statuses.count(200) <= 60 + gained


def test_every_line_of_the_log_is_json(make_server: MakeServer) -> None:
    server = make_server()
    requests.get(f"{server.url}/v1/shapes/kite", headers={"X-Request-ID": "here"}, timeout=300)
    requests.post(f"{server.url}/v1/kits", data=b"{", timeout=300)
    assert server.stop() == 0, server.log.read_text()
    lines = [json.loads(line) for line in Path(server.log).read_text().splitlines()]
    assert {"here"} <= {line.get("request_id") for line in lines}
    assert any(line["logger"] == "gunicorn.error" for line in lines)


@pytest.mark.long
def test_no_child_outlives_a_killed_worker(make_server: MakeServer) -> None:
    server = make_server(QUARTERSEAM_ISOLATION="always", QUARTERSEAM_WORKERS="1")
    body: dict[str, Any] = {
        "pieces": [{"id": "A", "shape": {"kind": "kite", "side": "1 in"}, "quantity": 2}],
        "runs": [{"cut": "template", "cutter": "laser-bed", "material": {"kind": "card"}}],
    }
    assert requests.post(f"{server.url}/v1/kits", json=body, timeout=300).status_code == 201
    (worker,) = answering(server.process.pid)
    helpers = computing(server.process.pid)
    assert helpers
    # The worker alone, so that the others must notice by themselves.
    os.kill(worker, signal.SIGKILL)
    until = time.monotonic() + 600
    while time.monotonic() < until and any(Path(f"/proc/{pid}").exists() for pid in helpers):
        time.sleep(0.1)
    assert [pid for pid in helpers if Path(f"/proc/{pid}").exists()] == []
