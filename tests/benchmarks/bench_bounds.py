"""What requests that once stopped the service cost it now.

    python tests/benchmarks/bench_bounds.py

Each line states what an adversarial trial of version 0.1.0 found, and what a server of this code
does: seconds to the answer, processor time and memory of the server's own processes (children that
compute are not counted; they have limits of their own). Nothing is asserted: the tests named in
openapi/SECURITY.md hold the bounds by counted work. ``bench_start.py``, ``bench_validation.py`` and
``bench_load.py --soak`` measure the rest.
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
import tempfile
import threading
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import requests

from tests.live.conftest import Server
from tests.live.open_connections import open_connections
from tests.server_processes import answering

FORMATS = ["svg", "dxf", "hpgl", "pdf", "plan"]
RUN: dict[str, Any] = {"cut": "patch", "cutter": "pen-sheet", "material": {"name": "c"}}
SQUARE: dict[str, Any] = {"id": "A", "shape": {"kind": "square", "side": "1 in"}}
SQUARES = {
    "pieces": [{**SQUARE, "quantity": 600, "match_marks": True, "seam_allowance": "6 mm"}],
    "runs": [{**RUN, "formats": FORMATS}] * 4,
}
SMALL = {"pieces": [{**SQUARE, "quantity": 4}], "runs": [RUN]}
#: 60 sizes by 66 shapes: 3,960 kits.
ORDER = {
    "request": {
        "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": 1}}],
        "runs": [{**RUN, "effort": 600}],
    },
    "sizes": [{"side": f"{number} in"} for number in range(1, 61)],
    "shapes": [{"kind": "hexagon", "side": 1}] * 66,
}
RACES = 150
UPLOADS, SILENT = 24, 500
HALF = (
    b"POST /v1/outlines HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
    b"Content-Length: 5000\r\n\r\n" + b"x" * 2500
)
CHUNKED = (
    b"POST /v1/outlines HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
    b"Transfer-Encoding: chunked\r\n\r\n"
)
CHUNKS = (
    b"five\r\nhello\r\n0\r\n\r\n",
    b"-5\r\nhello\r\n",
    b"\r\nhello\r\n",
    b"1" * 9000 + b"\r\n",
)
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="9mm">'
    '<circle cx="3" cy="3" r="%s"/></svg>'
)
DRAWINGS = (("9mm", "1.2.3"), ("4.0.0mm", "1"), ("9mm", "1e999"), ("9mm", "1"))


@dataclass(frozen=True)
class Cost:
    """What one request cost."""

    status: int
    sent: int
    seconds: float
    processor_s: float
    memory_mib: float
    answer: requests.Response

    def __str__(self) -> str:
        return (
            f"{self.sent} bytes, {self.status} after {self.seconds:.2f} s; server processes "
            f"{self.processor_s:.2f} s and {self.memory_mib:.1f} MiB"
        )


class Measured:
    """A server whose own processes are measured."""

    def __init__(self, server: Server) -> None:
        self.url, self.port = server.url, server.port
        assert server.process is not None
        self._processes = answering(server.process.pid)

    def _spent(self) -> float:
        ticks = 0
        for process in self._processes:
            fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rsplit(")", 1)[1]
            ticks += sum(map(int, fields.split()[11:13]))
        return ticks / os.sysconf("SC_CLK_TCK")

    def _held(self, name: str) -> list[float]:
        texts = [Path(f"/proc/{each}/status").read_text() for each in self._processes]
        return [int(text.partition(f"{name}:")[2].split()[0]) / 1024 for text in texts]

    def ask(self, method: str, path: str, body: Any) -> Cost:
        """Send a request and return what it cost."""
        raw = body if isinstance(body, bytes) else json.dumps(body, separators=(",", ":")).encode()
        for process in self._processes:
            # The most that is held is counted from here on (proc(5)).
            Path(f"/proc/{process}/clear_refs").write_text("5", encoding="ascii")
        held, spent, began = self._held("VmRSS"), self._spent(), time.monotonic()
        headers = {"Content-Type": "application/json"}
        answer = requests.request(method, self.url + path, data=raw, headers=headers, timeout=600)
        seconds = time.monotonic() - began
        grown = max(most - least for most, least in zip(self._held("VmHWM"), held, strict=True))
        return Cost(
            answer.status_code, len(raw), seconds, self._spent() - spent, max(0.0, grown), answer
        )


def say(what: str, then: str, now: object) -> None:
    """Print one figure."""
    print(f"{what}\n    then: {then}\n    now:  {now}", flush=True)


def bodies(server: Measured) -> None:
    """Lists that are long, and orders that are short to write."""
    server.ask("POST", "/v1/kits", SMALL)  # what is imported once
    for member in ("", "pieces"):
        objects = b"[" + b"{}," * 349_000 + b"{}]"
        body = objects if not member else b'{"%s":%s}' % (member.encode(), objects)
        what = f"1 MiB of empty objects{f' as {member}' if member else ''}"
        say(what, "23 s and 430 MiB in the server", server.ask("POST", "/v1/kits", body))
    say("3,960 kits of effort 600", "accepted: 27 days", server.ask("POST", "/v1/batches", ORDER))
    say(
        "600 squares with match marks, four runs, five formats",
        "455 bytes, 17 s in a thread of the server",
        server.ask("POST", "/v1/kits", SQUARES),
    )
    kit = server.ask("POST", "/v1/kits", SMALL).answer.headers["Location"]
    recut = server.ask("POST", f"{kit}/recuts", {"run": 1, "pieces": {"A": 30_000}})
    say("a recut of 30,000 pieces", "40 bytes, 20 s in a thread of the server", recut)


def ellipse(number: int) -> dict[str, Any]:
    """Return a cutter whose bed takes a fifth of a second to measure."""
    return {
        "units": "mm",
        "tool": {"kind": "pen"},
        "bed": {"width": 900 + number, "height": 300, "shape": "ellipse"},
        "margins": {"left": 1, "right": 9, "top": 30, "bottom": 4},
    }


def short_bodies(server: Measured) -> None:
    """Bodies of a few kilobytes that name or describe what takes long to load."""
    runs = [{**RUN, "cutter": ellipse(number)} for number in range(50)]
    # The control character has it refused once it is loaded.
    kits = {
        "title": "\n",
        "requests": [{"pieces": [SQUARE], "runs": [run]} for run in runs],
    }
    found = server.ask("POST", "/v1/batches", kits)
    say("50 kits on ellipses, each described", "0.2.0: 11 s in a thread of the server", found)
    names = {"requests": [{"prices": f"quay-{number}"} for number in range(2000)]}
    found = server.ask("POST", "/v1/batches", names)
    say("2,000 names of price lists", "0.2.0: read one by one, 0.5 s", found)


def others_meanwhile(server: Measured) -> None:
    """What a large kit has others wait."""
    asking = threading.Thread(
        target=server.ask, args=("POST", "/v1/kits", {**SQUARES, "title": "again"})
    )
    asking.start()
    waits = []
    while asking.is_alive():
        began = time.monotonic()
        requests.get(f"{server.url}/v1/shapes/kite", timeout=600).raise_for_status()
        waits.append(time.monotonic() - began)
        time.sleep(0.05)
    say("others beside that kit", "waited for it", f"{len(waits)}, {max(waits):.3f} s at most")


def race(address: str, cutter: Any) -> tuple[bool, bool]:
    """Change and delete a new cutter at once; return which of the two succeeded."""
    tag = {"If-Match": requests.put(address, json=cutter, timeout=600).headers["ETag"]}
    together = threading.Barrier(2)
    statuses: dict[str, int] = {}

    def send(method: str) -> None:
        body = cutter if method == "PUT" else None
        together.wait()
        statuses[method] = requests.request(
            method, address, json=body, headers=tag, timeout=600
        ).status_code

    both = [threading.Thread(target=send, args=(method,)) for method in ("PUT", "DELETE")]
    for each in both:
        each.start()
    for each in both:
        each.join()
    return statuses["PUT"] == 200, statuses["DELETE"] == 204


def races(server: Measured) -> None:
    """Conditional changes against conditional deletions of cutters."""
    cutter = requests.get(f"{server.url}/v1/cutters/laser-bed", timeout=600).json()["cutter"]
    lost = without_one = 0
    for turn in range(RACES):
        address = f"{server.url}/v1/cutters/race-{turn}"
        changed, deleted = race(address, cutter)
        is_there = requests.get(address, timeout=600).status_code == 200
        lost += changed and not is_there
        without_one += changed == deleted
    say(
        f"{RACES} races of a cutter's deletion and its change",
        "39 lost the change",
        f"{lost} lost it, {without_one} without one winner",
    )


def half_sent(server: Measured) -> None:
    """Uploads that stop half way, and connections that say nothing."""
    waits, ends, began = [], Counter[str](), time.monotonic()
    with open_connections(server.port, [HALF] * UPLOADS + [b""] * SILENT) as clients:
        for _ in range(50):
            asked = time.monotonic()
            requests.get(f"{server.url}/v1/shapes/kite", timeout=600).raise_for_status()
            waits.append(time.monotonic() - asked)
        for one in clients:
            with contextlib.suppress(ConnectionResetError):
                ends[one.recv(12).decode() or "closed"] += 1
    seconds = time.monotonic() - began
    say(
        f"{UPLOADS} uploads that stop and {SILENT} silent connections",
        "every thread held for ever; the silent ones for 140 s",
        f"healthy clients {max(waits):.3f} s at most; {dict(ends)}, the last after {seconds:.1f} s",
    )


def odd_input(server: Measured) -> None:
    """Numbers of drawings and sizes of chunks that are none."""
    found = []
    for size, radius in DRAWINGS:
        file = {"file": ("a.svg", SVG % (size, radius), "image/svg+xml")}
        for path in ("/v1/inspections", "/v1/blocks"):
            answer = requests.post(server.url + path, files=file, timeout=600)
            found.append(f"{path} width={size} r={radius}: {answer.status_code}")
    say("numbers of drawings", "500", "; ".join(found))
    statuses = Counter[str]()
    with open_connections(server.port, [CHUNKED + each for each in CHUNKS]) as clients:
        for one in clients:
            statuses[one.recv(12).decode()] += 1
    say("malformed chunk sizes", "500", dict(statuses))


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder) / "data", Path(folder) / "log")
        server.start()
        try:
            measured = Measured(server)
            for part in (bodies, short_bodies, others_meanwhile, races, half_sent, odd_input):
                part(measured)
        finally:
            print(f"the server ends with {server.stop()}")


if __name__ == "__main__":
    main()
