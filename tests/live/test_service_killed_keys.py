"""A server process killed in mid-request: its Idempotency-Key is soon free again."""

from __future__ import annotations

import contextlib
import os
import signal
import sqlite3
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requests

from tests.server_processes import answering

#: On a busy machine each answer may take long.
pytestmark = pytest.mark.timeout(900)
LONG_S = 300.0
KEY = {"Idempotency-Key": "harbour-42"}
#: Searched for ten seconds: the process is killed long before.
SLOW: dict[str, Any] = {
    "units": "in",
    "pieces": [
        {"id": "A", "shape": {"kind": "kite", "side": "1"}, "quantity": 90},
        {"id": "B", "shape": {"kind": "jewel", "side": "1"}, "quantity": 90},
    ],
    "runs": [
        {"cut": "template", "cutter": "laser-bed", "material": {"kind": "card"}, "effort": 10}
    ],
}
QUICK: dict[str, Any] = {
    "units": "in",
    "pieces": [{"id": "A", "shape": {"kind": "square", "side": "1"}, "quantity": 2}],
    "runs": [{"cut": "template", "cutter": "laser-bed", "material": {"kind": "card"}}],
}


def _claims(data: Path) -> int:
    with contextlib.closing(sqlite3.connect(data / "quarterseam.sqlite")) as database:
        row = database.execute("SELECT count(*) FROM claims WHERE kit_id IS NULL").fetchone()
    return int(row[0])


def _wait(whether: Callable[[], bool]) -> None:
    until = time.monotonic() + LONG_S
    while not whether():
        assert time.monotonic() < until
        time.sleep(0.05)


def test_the_key_of_a_killed_process_is_free_before_its_lease_ends(make_server: Any) -> None:
    # The lease, twelve minutes, is longer than any wait of this test.
    server = make_server(QUARTERSEAM_WORKERS="1", QUARTERSEAM_COMPUTE_QUEUE_TIMEOUT_SECONDS="600")

    def ask() -> None:
        with contextlib.suppress(requests.RequestException):
            requests.post(f"{server.url}/v1/kits", json=SLOW, headers=KEY, timeout=LONG_S)

    asking = threading.Thread(target=ask)
    asking.start()
    _wait(lambda: _claims(server.data) == 1)
    held = requests.post(f"{server.url}/v1/kits", json=SLOW, headers=KEY, timeout=LONG_S)
    assert (held.status_code, held.headers.get("Retry-After")) == (409, "2")
    os.kill(answering(server.process.pid)[0], signal.SIGKILL)
    asking.join()
    _wait(lambda: _claims(server.data) == 0)
    server.wait_until_ready()
    made = requests.post(f"{server.url}/v1/kits", json=QUICK, headers=KEY, timeout=LONG_S)
    assert made.status_code == 201, made.text
    again = requests.post(f"{server.url}/v1/kits", json=QUICK, headers=KEY, timeout=LONG_S)
    assert again.headers["Location"] == made.headers["Location"]
