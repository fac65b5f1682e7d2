"""A minute of load at two processes: no error; the figures are printed, side by side.

Figures depend on the machine, so nothing here is timed against a bound; run with -s to read them.
"""

from __future__ import annotations

import http.client
import json
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

MakeServer = Callable[..., Any]
OUTLINES = json.dumps(
    {
        "units": "in",
        "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "1"}, "seam_allowance": "1/4"}],
    }
).encode()
EMPTY = "from flask import Flask\napp = Flask('empty')\napp.get('/')(lambda: 'ok')\n"


class Caller:
    """One client on one connection, one request at a time."""

    def __init__(self, port: int) -> None:
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=600)
        self.seconds: list[float] = []
        self.statuses: dict[int, int] = {}

    def call(self, method: str, path: str, body: bytes | None = None) -> None:
        headers = {"Content-Type": "application/json"} if body else {}
        began = time.perf_counter()
        self._connection.request(method, path, body, headers)
        answer = self._connection.getresponse()
        answer.read()
        self.seconds.append(time.perf_counter() - began)
        self.statuses[answer.status] = self.statuses.get(answer.status, 0) + 1

    def close(self) -> None:
        self._connection.close()


def _load(
    port: int, seconds: float, request: tuple[str, str, bytes | None], clients: int = 4
) -> Caller:
    """Call one request again and again from several clients; returns them as one."""
    end = time.perf_counter() + seconds
    callers = [Caller(port) for _ in range(clients)]

    def work(caller: Caller) -> None:
        while time.perf_counter() < end:
            caller.call(*request)
        caller.close()

    threads = [threading.Thread(target=work, args=(caller,)) for caller in callers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    together = callers[0]
    for caller in callers[1:]:
        together.seconds += caller.seconds
        for status, count in caller.statuses.items():
            together.statuses[status] = together.statuses.get(status, 0) + count
    return together


def _told(name: str, caller: Caller, seconds: float) -> str:
    points = statistics.quantiles(caller.seconds, n=100)
    return (
        f"{name}: {len(caller.seconds) / seconds:.0f} requests/s, p50 {1e3 * points[49]:.2f} ms, "
        f"p99 {1e3 * points[98]:.2f} ms, {caller.statuses}"
    )


@pytest.fixture
def empty_port(tmp_path: Path, free_port: int) -> Iterator[int]:
    """An empty Flask endpoint on the same server with the same settings."""
    (tmp_path / "empty.py").write_text(EMPTY)
    command = [
        sys.executable, "-m", "gunicorn", "-k", "gthread", "-w", "2", "--threads", "4",
        "--worker-tmp-dir", "/dev/shm", "-b", f"127.0.0.1:{free_port}", "empty:app",  # noqa: S108
    ]  # fmt: skip
    with subprocess.Popen(
        command, cwd=tmp_path, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        time.sleep(2)
        yield free_port
        process.terminate()


@pytest.mark.long
@pytest.mark.timeout(900)
def test_a_minute_of_outlines_beside_an_empty_endpoint(
    make_server: MakeServer, empty_port: int
) -> None:
    server = make_server(QUARTERSEAM_WORKERS="2")
    rates: dict[str, list[float]] = {"outlines": [], "empty": []}
    statuses: set[int] = set()
    for _ in range(12):
        for name, port, request in (
            ("outlines", server.port, ("POST", "/v1/outlines", OUTLINES)),
            ("empty", empty_port, ("GET", "/", None)),
        ):
            caller = _load(port, 5.0, request)
            statuses |= set(caller.statuses)
            rates[name].append(len(caller.seconds) / 5.0)
            print(_told(name, caller, 5.0))
    ratio = statistics.median(rates["outlines"]) / statistics.median(rates["empty"])
    print(f"outlines / empty endpoint: {ratio:.3f}")
    assert statuses == {200}


def _runaway(effort: str, quantity: int) -> bytes:
    """A kit whose layout searches as long as it may."""
    pieces = [
        {"id": kind, "shape": {"kind": kind, "side": "31 mm"}, "quantity": quantity}
        for kind in ("kite", "jewel", "hexagon", "triangle")
    ]
    run = {"cut": "template", "cutter": "pen-sheet", "effort": effort}
    return json.dumps({"pieces": pieces, "runs": [run]}).encode()


@pytest.mark.long
@pytest.mark.timeout(900)
def test_small_requests_go_on_while_large_ones_run(make_server: MakeServer) -> None:
    server = make_server(QUARTERSEAM_WORKERS="2", QUARTERSEAM_COMPUTE_SECONDS="10")
    quiet = _load(server.port, 5.0, ("GET", "/v1/shapes/kite", None), clients=2)
    print(_told("small, quiet", quiet, 5.0))
    done = threading.Event()
    heavy: list[int] = []

    def run_away(body: bytes) -> None:
        while not done.is_set():
            caller = Caller(server.port)
            caller.call("POST", "/v1/layouts", body)
            caller.close()
            heavy.extend(caller.statuses)
            time.sleep(0.1)

    bodies = [_runaway("best", 40), *(_runaway("normal", 6000) for _ in range(8))]
    threads = [threading.Thread(target=run_away, args=(body,)) for body in bodies]
    for thread in threads:
        thread.start()
    time.sleep(2)
    busy = _load(server.port, 20.0, ("GET", "/v1/shapes/kite", None), clients=2)
    outlines = _load(server.port, 10.0, ("POST", "/v1/outlines", OUTLINES), clients=2)
    done.set()
    for thread in threads:
        thread.join()
    print(_told("small, beside large", busy, 20.0))
    print(_told("outlines, beside large", outlines, 10.0))
    print("large:", {status: heavy.count(status) for status in sorted(set(heavy))})
    assert set(busy.statuses) | set(outlines.statuses) == {200}
    assert set(heavy) <= {200, 422, 503}
