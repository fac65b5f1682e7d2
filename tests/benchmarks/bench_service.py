"""A small request beside an empty Flask endpoint on the same server, and the memory of both.

    python tests/benchmarks/bench_service.py [seconds]

Both run under gunicorn with two processes of four threads; four clients call the one and the other
in turn, on connections that are kept. Memory is what the processes of a server hold for
themselves (proportional set size) after that. Nothing is asserted.
"""

from __future__ import annotations

import http.client
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
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
OUTLINES = json.dumps(
    {
        "units": "in",
        "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "1"}, "seam_allowance": "1/4"}],
    }
).encode()
EMPTY = "from flask import Flask\napp = Flask('empty')\napp.get('/')(lambda: 'ok')\n"
CLIENTS = 4
ROUNDS = 4
#: Method, path and body.
Request = tuple[str, str, bytes | None]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running(port: int, arguments: list[str], folder: Path) -> Iterator[int]:
    """Run a server until left; yields its process id once it listens."""
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join((str(ROOT), str(folder))),
        "QUARTERSEAM_DATA": str(folder / "data"),
        "QUARTERSEAM_WORKERS": "2",
        "QUARTERSEAM_THREADS": "4",
    }
    with subprocess.Popen(
        [sys.executable, "-m", *arguments],
        cwd=folder,
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as process:
        try:
            for _ in range(400):
                with socket.socket() as probe:
                    if probe.connect_ex(("127.0.0.1", port)) == 0:
                        break
                time.sleep(0.05)
            yield process.pid
        finally:
            process.send_signal(signal.SIGTERM)


def rate(port: int, request: Request, seconds: float) -> float:
    """Return the answers a second that the clients get together."""
    end = time.perf_counter() + seconds
    counts = [0] * CLIENTS

    def call(client: int) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        method, path, body = request
        while time.perf_counter() < end:
            connection.request(method, path, body, {"Content-Type": "application/json"})
            answer = connection.getresponse()
            answer.read()
            assert answer.status == 200
            counts[client] += 1
        connection.close()

    threads = [threading.Thread(target=call, args=(client,)) for client in range(CLIENTS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sum(counts) / seconds


def family(pid: int) -> list[int]:
    """Return a process and all that it has started."""
    found = [pid]
    for task in Path(f"/proc/{pid}/task").iterdir():
        for child in (task / "children").read_text().split():
            found.extend(family(int(child)))
    return found


def memory_mib(pid: int) -> float:
    """Return what a process and its children hold, what they share counted once."""
    total = 0
    for each in family(pid):
        for line in Path(f"/proc/{each}/smaps_rollup").read_text().splitlines():
            if line.startswith("Pss:"):
                total += int(line.split()[1])
    return total / 1024


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 5.0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "empty.py").write_text(EMPTY)
        ours, empty = free_port(), free_port()
        bare = ["gunicorn", "-k", "gthread", "-w", "2", "--threads", "4", "-b"]
        with (
            running(ours, ["service", "serve", "--port", str(ours)], folder) as service_pid,
            running(empty, [*bare, f"127.0.0.1:{empty}", "empty:app"], folder) as empty_pid,
        ):
            works: dict[str, tuple[int, Request]] = {
                "outlines": (ours, ("POST", "/v1/outlines", OUTLINES)),
                "empty": (empty, ("GET", "/", None)),
            }
            rates: dict[str, list[float]] = {each: [] for each in works}
            for round_ in range(ROUNDS + 1):
                for each, (port, request) in works.items():
                    found = rate(port, request, seconds if round_ else 1.0)
                    # The first, short one only warms up.
                    rates[each].extend([found] if round_ else [])
            result = {each: statistics.median(found) for each, found in rates.items()}
            held = memory_mib(service_pid), memory_mib(empty_pid)
    print(
        f"POST /v1/outlines: {result['outlines']:.0f}/s; empty endpoint {result['empty']:.0f}/s; "
        f"ratio {result['outlines'] / result['empty']:.3f}"
    )
    print(
        f"memory of all processes: {held[0]:.0f} MiB; empty endpoint {held[1]:.0f} MiB; "
        f"ratio {held[0] / held[1]:.1f}"
    )


if __name__ == "__main__":
    main()
