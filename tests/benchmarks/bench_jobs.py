"""What a job costs beside the bare computation, and how long a small kit's detour takes.

    python -m tests.benchmarks.bench_jobs [JOBS]

Four ways to the same kits, side by side on this machine: the computation alone (in one process,
warm), in a child (what a job runs in), by ``POST /v1/kits`` (kept), and as jobs (kept, delivered,
done by a worker, looked at). Work is CPU time of every process that took part; the detour is the
median time from asking to the end of one job at a time, less that of the same request answered
directly. Fails when the detour is longer than 0.3 s.
"""

from __future__ import annotations

import os
import resource
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import requests

from service.requests.kits import kit_request
from service.sandbox import child, tasks
from service.tools.built_in import BUILT_IN
from tests.benchmarks.processor_time import family_cpu_s

ROOT = Path(__file__).resolve().parents[2]
MAX_DETOUR_S = 0.3
ENDED = {"succeeded", "failed", "cancelled"}


def _kit(name: str) -> dict[str, Any]:
    piece = {
        "id": "A",
        "shape": {"kind": "hexagon", "side": "1 in"},
        "quantity": 4,
        "seam_allowance": "1/4 in",
    }
    run = {"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"]}
    return {"title": name, "pieces": [piece], "runs": [run]}


def _timed(do: Callable[[int], Any], many: int) -> list[float]:
    taken = []
    for number in range(many):
        began = time.perf_counter()
        do(number)
        taken.append(time.perf_counter() - began)
    return taken


def _alone(many: int) -> tuple[float, float, float]:
    """Return CPU seconds a kit in this process, and seconds a kit here and in a child."""
    request = kit_request(_kit("alone"), BUILT_IN.get)
    tasks.kit(60.0, request)
    before = resource.getrusage(resource.RUSAGE_SELF)
    here = _timed(lambda _: tasks.kit(60.0, request), many)
    after = resource.getrusage(resource.RUSAGE_SELF)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    child.wait_until_warm()
    arguments = (60.0, request)
    there = _timed(
        lambda _: child.run(tasks.kit, arguments, seconds=60, memory_bytes=1 << 30), many
    )
    return cpu / many, statistics.median(here), statistics.median(there)


class _Served:
    """A server that does its own jobs, on a data folder of its own."""

    def __init__(self, folder: str) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        self.url = f"http://127.0.0.1:{port}"
        environment = {**os.environ, "QUARTERSEAM_DATA": folder, "PYTHONPATH": str(ROOT)}
        self._process = subprocess.Popen(
            [sys.executable, "-m", "service", "serve", "--port", str(port)],
            env=environment, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def cpu_s(self) -> float:
        return family_cpu_s([self._process.pid])

    def ready(self) -> None:
        for number in range(400):
            try:
                self.job(f"warm {number}")
            except requests.ConnectionError:
                time.sleep(0.1)
                continue
            if number > 10:
                return

    def direct(self, name: str) -> None:
        requests.post(f"{self.url}/v1/kits", json=_kit(name), timeout=60).raise_for_status()

    def ask(self, name: str) -> str:
        headers = {"Prefer": "respond-async"}
        asked = requests.post(f"{self.url}/v1/kits", json=_kit(name), headers=headers, timeout=60)
        return str(asked.headers["Location"])

    def wait(self, link: str) -> None:
        while requests.get(self.url + link, timeout=60).json()["state"] not in ENDED:
            time.sleep(0.005)

    def job(self, name: str) -> None:
        self.wait(self.ask(name))

    def many(self, count: int) -> None:
        for link in [self.ask(f"many {number}") for number in range(count)]:
            self.wait(link)

    def stop(self) -> None:
        self._process.send_signal(signal.SIGTERM)
        self._process.wait(60)


def _served(many: int) -> dict[str, float]:
    with tempfile.TemporaryDirectory() as folder:
        server = _Served(folder)
        try:
            server.ready()
            figures = {}
            before = server.cpu_s()
            direct = _timed(lambda n: server.direct(f"direct {n}"), many)
            figures["direct cpu"] = (server.cpu_s() - before) / many
            figures["direct"] = statistics.median(direct)
            jobs = _timed(lambda n: server.job(f"job {n}"), many)
            figures["job"] = statistics.median(jobs)
            before, began = server.cpu_s(), time.perf_counter()
            server.many(many)
            figures["many"] = (time.perf_counter() - began) / many
            figures["many cpu"] = (server.cpu_s() - before) / many
        finally:
            server.stop()
    return figures


def main() -> int:
    """Print the figures; returns 1 when the detour is too long."""
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    cpu, here, there = _alone(many)
    served = _served(many)
    detour = served["job"] - served["direct"]
    rows = [
        ("computation alone, warm", here, cpu),
        ("in a child", there, float("nan")),
        ("POST /v1/kits", served["direct"], served["direct cpu"]),
        ("as a job, one at a time", served["job"], float("nan")),
        (f"as jobs, {many} at once, each", served["many"], served["many cpu"]),
    ]
    print(f"{'a small kit':<34}{'s':>8}{'CPU s':>8}{'ratio':>8}")
    for name, seconds, work in rows:
        known = work == work  # noqa: PLR0124 - not a number is not itself
        payload = f"{work:8.3f}{work / cpu:8.2f}" if known else ""
        print(f"{name:<34}{seconds:8.3f}{payload}")
    print(f"detour through the queue: {detour:.3f} s, allowed {MAX_DETOUR_S}")
    print(f"cost of a job over the computation: {served['many cpu'] / cpu:.2f}")
    return int(detour > MAX_DETOUR_S)


if __name__ == "__main__":
    sys.exit(main())
