"""What each kind of request costs the service in processor time, and how that grows.

    python -m tests.benchmarks.request_costs [--rounds 12] [--json FILE] [--postgres]

One server of one process, called by one client on one connection. The processor time is that of
the server and its children. No two computed requests are alike, so that nothing is known before,
except where the row says so. ``--postgres`` starts a PostgreSQL server as well and adds what that
spends on a kit that is stored and on one that is read. ``--json`` keeps the figures for
``capacity_model``. Run it alone on the machine. Nothing is asserted.
"""

from __future__ import annotations

import argparse
import json
import math
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import chain, count
from pathlib import Path
from typing import Any

import requests

from tests.benchmarks.own_server import WAIT_S, serving
from tests.benchmarks.processor_time import family_cpu_s
from tests.live.postgres_alone import postgres_server

#: A call: method, path and JSON body.
Call = tuple[str, str, Any]
_SMALL_STEP_MM = 0.0002


@dataclass(frozen=True)
class Cost:
    """What one request of a kind costs, ms: of processors, and by the clock at the median."""

    cpu_ms: float
    wall_ms: float


def _side(number: int) -> str:
    """Return a side near an inch that no other number has."""
    return f"{25.4 + _SMALL_STEP_MM * number:.4f} mm"


def small_kit(number: int, *, pieces: int = 24, sides: int = 6, **more: Any) -> dict[str, Any]:
    """Return a kit of regular polygons cut from card by a laser, with an SVG file."""
    shape = {"kind": "regular_polygon", "sides": sides, "across_corners": _side(number * 2)}
    piece = {"id": "A", "shape": shape, "quantity": pieces, "seam_allowance": "1/4 in"}
    run = {"cut": "template", "cutter": "laser-bed", "formats": ["svg"],
           "material": {"name": "card", "kind": "card"}}  # fmt: skip
    return {"title": "Slipway", "units": "in", "pieces": [piece], "runs": [run], **more}


def loads_kit(number: int, loads: int) -> dict[str, Any]:
    """Return a kit of so many full loads of 25 pieces, on a small bed."""
    bed = {"width": "140 mm", "height": "100 mm"}
    request = small_kit(number, pieces=25 * loads)
    request["runs"][0]["cutter"] = {"tool": {"kind": "laser"}, "bed": bed}
    return request


def _plan(number: int) -> dict[str, Any]:
    return {
        "title": "Harbour wall", "units": "in", "tiling": "hexagon_flower",
        "side": f"{1.5 + number * 1e-4:.4f}", "rounds": 1, "path": 1,
        "quilt": {"width": "60", "length": "72"}, "seam_allowance": "1/4",
        "fabric": {"width": "42"},
    }  # fmt: skip


def _yardage(number: int) -> dict[str, Any]:
    shape = {"kind": "half_square_triangle", "side": f"{4 + number * 1e-4:.4f}"}
    piece = {"id": "A", "shape": shape, "quantity": 120, "seam_allowance": "1/4"}
    return {"units": "in", "pieces": [piece], "fabric": {"width": "42"}}


def _block(number: int) -> dict[str, Any]:
    example = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "harbour-block.json"
    return {**json.loads(example.read_text(encoding="utf-8")), "title": f"Harbour {number}"}


def computed() -> dict[str, Callable[[int], Call]]:
    """Return the kinds of request that compute something, each as a call of a number."""

    def kits(**how: Any) -> Callable[[int], Call]:
        return lambda number: ("POST", "/v1/kits", small_kit(number, **{"documents": [], **how}))

    return {
        "outlines of a piece": lambda n: (
            "POST", "/v1/outlines", {"units": "in", "pieces": small_kit(n)["pieces"]},
        ),
        "layout of 24 pieces": lambda n: ("POST", "/v1/layouts", small_kit(n)),
        "kit of 24 pieces": kits(),
        "kit with run sheet and labels": kits(documents=["run_sheet", "labels"]),
        "yardage": lambda n: ("POST", "/v1/yardage", _yardage(n)),
        "quilt plan": lambda n: ("POST", "/v1/quilt-plans", _plan(n)),
        "block of 20 lines": lambda n: ("POST", "/v1/blocks", _block(n)),
        "12 pieces": kits(pieces=12),
        "120 pieces": kits(pieces=120),
        "1,200 pieces": kits(pieces=1200),
        "3 corners": kits(sides=3),
        "12 corners": kits(sides=12),
        "60 corners": kits(sides=60),
        "1 load": lambda n: ("POST", "/v1/kits", loads_kit(n, 1) | {"documents": []}),
        "10 loads": lambda n: ("POST", "/v1/kits", loads_kit(n, 10) | {"documents": []}),
        "100 loads": lambda n: ("POST", "/v1/kits", loads_kit(n, 100) | {"documents": []}),
    }  # fmt: skip


#: What grows, and the kits whose costs show it.
GROWTH = {
    "pieces": ((12, "12 pieces"), (120, "120 pieces"), (1200, "1,200 pieces")),
    "corners": ((3, "3 corners"), (12, "12 corners"), (60, "60 corners")),
    "loads": ((1, "1 load"), (10, "10 loads"), (100, "100 loads")),
}


class Meter:
    """Calls of a server, and what they cost it."""

    def __init__(self, url: str, pid: int, rounds: int) -> None:
        """Call the server at an address, whose main process is given, so many times a kind."""
        self._url, self._pid, self._rounds = url, pid, rounds
        self._session = requests.Session()
        self._numbers = count()

    def send(self, call: Call) -> requests.Response:
        """Send one request; raises where it is refused."""
        method, path, body = call
        answer = self._session.request(method, self._url + path, json=body, timeout=WAIT_S)
        if not answer.ok:
            raise SystemExit(f"{method} {path}: {answer.status_code} {answer.text[:500]}")
        return answer

    def cost(self, call: Callable[[int], Call]) -> Cost:
        """Return what a kind of request costs."""
        for _ in range(3):
            self.send(call(next(self._numbers)))
        took, before = [], family_cpu_s([self._pid])
        for _ in range(self._rounds):
            asked = call(next(self._numbers))
            began = time.perf_counter()
            self.send(asked)
            took.append(time.perf_counter() - began)
        spent = (family_cpu_s([self._pid]) - before) / self._rounds
        return Cost(spent * 1e3, statistics.median(took) * 1e3)


def measured(rounds: int) -> Iterator[tuple[str, Cost]]:
    """Yield each kind of request with its cost."""
    settings = {"WORKERS": "1", "JOB_SLOTS": "0"}
    with tempfile.TemporaryDirectory() as folder, serving(Path(folder), **settings) as (url, pid):
        meter = Meter(url, pid, rounds)
        for _ in range(4):
            meter.cost(computed()["kit of 24 pieces"])
        for name, call in computed().items():
            yield name, meter.cost(call)
        alike = small_kit(20000, documents=[])
        yield "kit known before", meter.cost(lambda _: ("POST", "/v1/kits", alike))
        kit = meter.send(("POST", "/v1/kits", alike)).json()
        place = f"/v1/kits/{kit['id']}"
        yield (
            "recut of a piece",
            meter.cost(
                lambda n: ("POST", f"{place}/recuts", {"run": 1, "pieces": {"A": n % 24 + 1}})
            ),
        )
        yield "a stored kit", meter.cost(lambda _: ("GET", place, None))
        yield "a page of the list", meter.cost(lambda _: ("GET", "/v1/kits", None))


def measured_database(rounds: int) -> Iterator[tuple[str, Cost]]:
    """Yield what PostgreSQL itself spends on a kit."""
    settings = {"WORKERS": "1", "JOB_SLOTS": "0"}
    with tempfile.TemporaryDirectory() as folder, postgres_server() as database:
        settings["DATABASE"] = database.url
        main_pid = int((database.folder / "db" / "postmaster.pid").read_text().split()[0])
        with serving(Path(folder), **settings) as (url, _):
            meter = Meter(url, main_pid, rounds)
            alike = small_kit(20000, documents=[])
            yield "database, a kit stored", meter.cost(lambda _: ("POST", "/v1/kits", alike))
            place = f"/v1/kits/{meter.send(('POST', '/v1/kits', alike)).json()['id']}"
            yield "database, a kit read", meter.cost(lambda _: ("GET", place, None))


def exponent(points: list[tuple[float, float]]) -> float:
    """Return by which power cost grows between the first and the last point."""
    (low, cheap), (high, dear) = points[0], points[-1]
    return math.log(dear / cheap) / math.log(high / low)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=12)
    parser.add_argument("--json", type=Path)
    parser.add_argument("--postgres", action="store_true")
    stated = parser.parse_args()
    costs: dict[str, Cost] = {}
    print("| request | processor time, ms | by the clock, ms | one core serves, per second |")
    print("| --- | --- | --- | --- |")
    more = measured_database(10 * stated.rounds) if stated.postgres else ()
    for name, cost in chain(measured(stated.rounds), more):
        costs[name] = cost
        served = 1e3 / max(cost.cpu_ms, 1e-3)
        print(f"| {name} | {cost.cpu_ms:.2f} | {cost.wall_ms:.1f} | {served:.0f} |", flush=True)
    for what, kits in GROWTH.items():
        power = exponent([(size, costs[name].cpu_ms) for size, name in kits])
        print(f"\nProcessor time grows as the number of {what} to the power of {power:.2f}.")
    if stated.json:
        kept = {name: vars(cost) for name, cost in costs.items()}
        stated.json.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
