"""Load on the server: several clients at once, beside another checkout; and a soak.

Usage: python tests/benchmarks/bench_load.py [--seconds 60] [--clients 1 4 16 64] [--beside FOLDER]
           [--kinds outlines layouts kits mixed] [--varied]
       python tests/benchmarks/bench_load.py --soak 900

For each kind of request (outlines, kits, layouts, all mixed) and each number of clients, one line:
requests, errors, p50 and p99 of the time to answer, and fairness (requests of the client that got
fewest over those of the one that got most). With ``--beside``, the server of another checkout is
loaded in turn, in rounds of 10 s, so that what else the machine does falls on both. All requests of
a kind are alike, so that a process knows their layouts and plans from the ones before; with
``--varied`` each has a size of its own, and nothing that is known can be used. A soak is mixed
load of 4 clients; it prints memory and open descriptors of all the server's processes.
"""

from __future__ import annotations

import argparse
import contextlib
import http.client
import itertools
import json
import os
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
ROUND_S = 10.0
PIECE: dict[str, Any] = {
    "id": "A", "shape": {"kind": "hexagon", "side": "1 in"}, "seam_allowance": "1/4 in",
}  # fmt: skip
KIT = {
    "pieces": [{**PIECE, "quantity": 24}],
    "runs": [
        {
            "cut": "template",
            "cutter": "laser-bed",
            "material": {"name": "card", "kind": "card"},
        }
    ],
}
REQUESTS = {
    "outlines": ("/v1/outlines", json.dumps({"pieces": [PIECE]}).encode()),
    "layouts": ("/v1/layouts", json.dumps(KIT).encode()),
    "kits": ("/v1/kits", json.dumps(KIT).encode()),
}
KINDS = (*REQUESTS, "mixed")
#: The size in a body, and those that take its place: more than any process keeps answers.
SIZE = b'"1 in"'
SIZES = [f'"1.{step:03d} in"'.encode() for step in range(1, 400)]


@dataclass
class Figures:
    """What clients saw."""

    seconds: list[float] = field(default_factory=list)
    errors: int = 0
    #: Answers of each client, in every round.
    shares: list[tuple[int, int]] = field(default_factory=list)

    def row(self) -> str:
        points = statistics.quantiles(self.seconds, n=100) if len(self.seconds) > 1 else [0.0] * 99
        fair = min((low / high for low, high in self.shares if high), default=0.0)
        return (
            f"{len(self.seconds):6d} requests {self.errors:3d} errors   p50 {1e3 * points[49]:8.1f}"
            f"   p99 {1e3 * points[98]:8.1f} ms   fairness {fair:.2f}"
        )


@contextlib.contextmanager
def served(checkout: Path) -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """Serve a checkout from a data folder of its own."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    with tempfile.TemporaryDirectory() as folder:
        ours = {k: v for k, v in os.environ.items() if not k.startswith("QUARTERSEAM_")}
        environment = {
            **ours, "PYTHONPATH": str(checkout), "QUARTERSEAM_DATA": folder,
            "QUARTERSEAM_LOG_LEVEL": "WARNING",
        }  # fmt: skip
        process = subprocess.Popen(
            [sys.executable, "-m", "service", "serve", "--port", str(port)], cwd=folder,
            env=environment, start_new_session=True,
        )  # fmt: skip
        try:
            _wait(port)
            yield port, process
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(60)


def _wait(port: int) -> None:
    """Wait until the server answers, and has imported all that kits need in both its processes."""
    until, made = time.monotonic() + 300, 0
    while time.monotonic() < until and made < 8:
        with contextlib.suppress(OSError):
            # A connection of its own each time: either process may take it.
            one = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
            path, body = REQUESTS["kits"]
            one.request("POST", path, body, {"Content-Type": "application/json"})
            made += one.getresponse().status == 201
            one.close()
        time.sleep(0.1)
    if made < 8:
        raise TimeoutError


def load(
    port: int, kind: str, clients: int, seconds: float, figures: Figures, sizes: Iterator[bytes]
) -> None:
    """Call one kind of request from several clients, each on a connection of its own."""
    end = time.perf_counter() + seconds
    counts = [0] * clients

    def work(number: int) -> None:
        one = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        chosen = itertools.cycle(REQUESTS if kind == "mixed" else [kind])
        while time.perf_counter() < end:
            path, body = REQUESTS[next(chosen)]
            body = body.replace(SIZE, next(sizes))
            began = time.perf_counter()
            try:
                one.request("POST", path, body, {"Content-Type": "application/json"})
                answer = one.getresponse()
                answer.read()
                good = answer.status in {200, 201}
            except (OSError, http.client.HTTPException):
                one.close()
                good = False
            figures.seconds.append(time.perf_counter() - began)
            figures.errors += not good
            counts[number] += 1
        one.close()

    threads = [threading.Thread(target=work, args=(number,)) for number in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    figures.shares.append((min(counts), max(counts)))


def compare(
    checkouts: Sequence[Path],
    kinds: Sequence[str],
    seconds: float,
    numbers: Sequence[int],
    sizes: Sequence[bytes],
) -> None:
    """Load servers in turn and print what their clients saw."""
    with contextlib.ExitStack() as stack:
        servers = [(each, stack.enter_context(served(each))[0]) for each in checkouts]
        for kind, clients in itertools.product(kinds, numbers):
            figures = {each: Figures() for each, _ in servers}
            # Each server gets the same sizes in the same order.
            asked = {each: itertools.cycle(sizes) for each, _ in servers}
            for _ in range(max(1, round(seconds / ROUND_S))):
                for each, port in servers:
                    load(port, kind, clients, min(seconds, ROUND_S), figures[each], asked[each])
            for name, (each, _) in zip(("this", "other"), servers, strict=False):
                print(f"{kind:9s}{clients:3d} clients  {name:6s}{figures[each].row()}", flush=True)


def soak(seconds: float) -> None:
    """Load a server for long and print what its processes hold."""
    with served(ROOT) as (port, process):
        figures, end = Figures(), time.monotonic() + seconds
        while time.monotonic() < end:
            load(port, "mixed", 4, min(30.0, seconds), figures, itertools.cycle([SIZE]))
            print(f"{_held(process.pid)}   {figures.row()}", flush=True)


def _held(group: int) -> str:
    """Return memory (unshared and shared in parts) and descriptors of a group of processes."""
    memory_kib = descriptors = processes = 0
    for each in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            if os.getpgid(int(each.name)) != group:
                continue
            output = (each / "smaps_rollup").read_text(encoding="ascii")
            memory_kib += int(output.split("\nPss:")[1].split()[0])
            descriptors += len(list((each / "fd").iterdir()))
            processes += 1
    return f"{processes} processes {memory_kib >> 10:5d} MiB {descriptors:4d} descriptors"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--clients", type=int, nargs="+", default=[1, 4, 16, 64])
    parser.add_argument("--kinds", choices=KINDS, nargs="+", default=KINDS)
    parser.add_argument("--beside", type=Path)
    parser.add_argument("--varied", action="store_true", help="no two requests alike")
    parser.add_argument("--soak", type=float)
    stated = parser.parse_args()
    if stated.soak:
        soak(stated.soak)
        return
    checkouts = [ROOT] if stated.beside is None else [ROOT, stated.beside.resolve()]
    sizes = SIZES if stated.varied else [SIZE]
    compare(checkouts, stated.kinds, stated.seconds, stated.clients, sizes)


if __name__ == "__main__":
    main()
