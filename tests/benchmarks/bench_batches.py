"""What the kits of a batch cost beside their bare computation, with one worker and with two.

    python -m tests.benchmarks.bench_batches [KITS]

A batch of one small kit in many sizes (100 when left out), no two alike, done by separate worker
processes of one slot each; the server runs no jobs. The bare computation makes the same kits in
one process, warm. Work is the processor time of all processes that took part. Nothing is asserted.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import requests

from service.requests.kits import kit_request
from service.sandbox import tasks
from service.tools.built_in import BUILT_IN
from tests.benchmarks.own_server import WAIT_S, serving, started
from tests.benchmarks.processor_time import family_cpu_s

WARM = 12


def sizes(first: int, count: int) -> list[dict[str, str]]:
    """Return sizes that no other call returns for other numbers."""
    return [{"side": f"{25.4 + 0.0005 * (first + number):.4f} mm"} for number in range(count)]


def request(side: str = "1 in") -> dict[str, Any]:
    """Return a small kit: 12 hexagons cut from card by a drag blade, with its documents."""
    piece = {
        "id": "A",
        "shape": {"kind": "hexagon", "side": side},
        "quantity": 12,
        "seam_allowance": "1/4 in",
    }
    run = {"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"],
           "material": {"name": "card", "kind": "card"}}  # fmt: skip
    return {"title": "Slipway", "pieces": [piece], "runs": [run]}


def alone(count: int) -> float:
    """Return processor seconds of a kit made in this process."""
    for size in sizes(0, WARM):
        tasks.kit(60.0, kit_request(request(size["side"]), BUILT_IN.get))
    asked = [kit_request(request(size["side"]), BUILT_IN.get) for size in sizes(500, count)]
    before = resource.getrusage(resource.RUSAGE_SELF)
    for each in asked:
        tasks.kit(60.0, each)
    after = resource.getrusage(resource.RUSAGE_SELF)
    return (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime) / count


def done(url: str, asked: list[dict[str, str]]) -> None:
    """Order a batch, and wait for its end."""
    body: dict[str, Any] = {"title": "Slipway sizes", "request": request(), "sizes": asked}
    answer = requests.post(f"{url}/v1/batches", json=body, timeout=WAIT_S)
    answer.raise_for_status()
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        batch = requests.get(url + answer.headers["Location"], timeout=WAIT_S).json()
        if batch["state"] == "ended":
            if batch["counts"]["succeeded"] != len(asked):
                raise SystemExit(f"not all kits were made: {batch['counts']}")
            return
        time.sleep(0.05)
    raise SystemExit("the batch did not end")


def with_workers(count: int, kits: int) -> tuple[float, float]:
    """Return kits per second, and processor seconds per kit, with so many workers."""
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        folder = Path(name)
        url, pid = stack.enter_context(serving(folder, "--no-worker", WORKERS="1"))
        pids = [pid]
        for _ in range(count):
            worker = stack.enter_context(started(folder, "worker", "--slots", "1")).process
            assert worker is not None
            pids.append(worker.pid)
        done(url, sizes(0, WARM * count))
        before, began = family_cpu_s(pids), time.perf_counter()
        done(url, sizes(1000, kits))
        took = time.perf_counter() - began
        return kits / took, (family_cpu_s(pids) - before) / kits


def main() -> None:
    """Print the figures."""
    kits = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    bare = alone(kits)
    print(f"bare computation: {bare * 1e3:.1f} ms of processor time per kit")
    (one, cpu_one), (two, cpu_two) = with_workers(1, kits), with_workers(2, kits)
    for name, rate, cpu in (("one worker", one, cpu_one), ("two workers", two, cpu_two)):
        print(f"{name}: {rate:.1f} kits per second, {cpu * 1e3:.1f} ms of processor time per kit")
    print(f"processor time of a batch's kit over the computation: {cpu_two / bare:.2f}")
    print(f"kits per second of a batch: {two:.1f}")
    print(f"two workers over one: {two / one:.2f}")


if __name__ == "__main__":
    main()
