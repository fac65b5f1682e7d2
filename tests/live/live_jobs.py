"""What the tests of jobs share: small requests, waiting for ends, and what one process gives."""

from __future__ import annotations

import contextlib
import functools
import json
import sqlite3
import time
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import requests

from service.kits import kit
from service.kits.archive import DESCRIPTION, description, packed
from service.requests.kits import kit_request
from service.sandbox.nester import installed
from service.tools.built_in import BUILT_IN

ASYNC = {"Prefer": "respond-async"}
ENDED = {"succeeded", "failed", "cancelled"}
#: Processes that do jobs and no requests.
WORKER = ("-m", "service", "worker")
SERVER = ("-m", "service", "serve", "--port", "{port}", "--no-worker")
#: Short, so that the tests need not wait long for what has died; long enough for the heartbeats
#: of a busy machine.
QUICK = {"QUARTERSEAM_JOB_LEASE_SECONDS": "5", "QUARTERSEAM_JOB_SWEEP_SECONDS": "1"}


def small_kit(title: str, quantity: int = 2) -> dict[str, Any]:
    return {
        "title": title,
        "pieces": [
            {
                "id": "A",
                "shape": {"kind": "kite", "side": "1 in"},
                "quantity": quantity,
                "seam_allowance": "6 mm",
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "cutter": "laser-bed",
                "material": {"kind": "card"},
                "formats": ["svg", "plan"],
            }
        ],
    }


def slower_kit(title: str, quantity: int = 60, effort: str = "quick") -> dict[str, Any]:
    """A kit of three kinds on the same loads: 60 of each take about a second."""
    body = small_kit(title, quantity)
    body["runs"][0]["effort"] = effort
    shapes = {"B": {"kind": "jewel", "side": "1 in"}, "C": {"kind": "triangle", "side": "30 mm"}}
    body["pieces"] += [
        {"id": name, "shape": shape, "quantity": quantity} for name, shape in shapes.items()
    ]
    return body


def one_process_gives(body: Mapping[str, Any]) -> bytes:
    """Return the zip of a kit, made here and now."""
    return _one_process_gives(json.dumps(body))


@functools.cache
def _one_process_gives(text: str) -> bytes:
    bundle = kit(kit_request(json.loads(text), BUILT_IN.get), nester=installed())
    return packed({DESCRIPTION: description(bundle), **bundle.files})


def submit(url: str, body: Mapping[str, Any], key: str = "") -> str:
    """Ask for a job until it is acknowledged; returns its address."""
    headers = ASYNC | ({"Idempotency-Key": key} if key else {})
    until = time.monotonic() + 600
    while True:
        with contextlib.suppress(requests.ConnectionError):
            answer = requests.post(f"{url}/v1/kits", json=body, headers=headers, timeout=300)
            if answer.status_code == 202:
                assert answer.headers["Preference-Applied"] == "respond-async"
                return answer.headers["Location"]
            assert answer.status_code in {409, 503}, answer.text
        assert time.monotonic() < until
        time.sleep(0.1)


def get(url: str, **options: Any) -> requests.Response:
    """Fetch, patiently: a server may be away for a moment."""
    until = time.monotonic() + 600
    while True:
        with contextlib.suppress(requests.ConnectionError):
            answer = requests.get(url, timeout=300, **options)
            if answer.status_code != 503:
                return answer
        assert time.monotonic() < until, url
        time.sleep(0.2)


def wait_for(url: str, links: Iterable[str], seconds: float) -> dict[str, Any]:
    """Return the jobs at these addresses once each has ended."""
    until = time.monotonic() + seconds
    ended: dict[str, Any] = {}
    # One after the other: to ask for all of them again and again keeps a server busy.
    for link in links:
        job = get(url + link).json()
        while job["state"] not in ENDED:
            assert time.monotonic() < until, f"{link} has not ended"
            time.sleep(0.2)
            job = get(url + link).json()
        ended[link] = job
    return ended


def check_kit(url: str, job: Mapping[str, Any], body: Mapping[str, Any]) -> None:
    """Check that a job made its kit, with the bytes that one process gives."""
    assert job["state"] == "succeeded", job
    archive = get(url + job["kit"], headers={"Accept": "application/zip"})
    assert archive.content == one_process_gives(body)
    assert get(url + job["kit"]).json()["created_at"] == job["created_at"]


def count_kits(url: str) -> int:
    many, link = 0, "/v1/kits?limit=200"
    while link:
        page = get(url + link).json()
        many += len(page["kits"])
        link = page.get("next", "")
    return many


def running(data: Path) -> set[tuple[str, int]]:
    """Return the jobs and tries that are being done, from the database itself."""
    with contextlib.closing(sqlite3.connect(data / "quarterseam.sqlite", timeout=300)) as database:
        return set(database.execute("select id, attempts from jobs where state = 'running'"))


def wait_for_batch(url: str, link: str, seconds: float) -> dict[str, Any]:
    """Return a batch once all of it has ended."""
    until = time.monotonic() + seconds
    while True:
        payload: dict[str, Any] = get(url + link).json()
        if payload["state"] in {"ended", "cancelled"}:
            return payload
        assert time.monotonic() < until, payload["counts"]
        time.sleep(0.5)
