# ruff: noqa: S311 - chance, no secrets
"""How many studios a set-up serves, by simulating what was measured.

    python -m tests.benchmarks.capacity_model COSTS.json            the table of set-ups
    python -m tests.benchmarks.capacity_model COSTS.json --check    beside a measured server

COSTS.json is what ``request_costs --json`` keeps. A studio's busiest hour is stated in `HOUR`,
and a shop's night in `NIGHT`; both are assumptions, to be replaced by one's own figures. Stations
are processors of the servers, processors of the workers, and the database; the first that is busy
for more than `FULL` of the time is the bottleneck. ``--check`` sends the same requests to a server
on this machine, from 1, 4 and 16 clients, and prints measured and simulated rates side by side.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from itertools import count
from pathlib import Path

import requests

from tests.benchmarks.own_server import WAIT_S, serving
from tests.benchmarks.queueing import Seen, Simulation, Visit
from tests.benchmarks.request_costs import small_kit

#: Requests of one studio in its busiest hour (an assumption): previews while somebody types, kits,
#: recuts, plans, yardages, and kits that are looked at.
HOUR = {
    "layout of 24 pieces": 40,
    "kit with run sheet and labels": 4,
    "recut of a piece": 1,
    "quilt plan": 2,
    "yardage": 4,
    "a stored kit": 20,
    "a page of the list": 6,
}
#: One studio in so many orders a night's batch of so many kits (assumptions).
SHOPS, NIGHT, NIGHT_H = 20, 100, 8
#: Share of the time at which a station counts as full: beyond it waiting grows fast.
FULL = 0.7
#: Requests per second of an interactive kind that are simulated at most; larger set-ups are
#: simulated as one part of several alike.
_SIMULATED = 20_000
Costs = dict[str, float]


def visits(name: str, costs: Costs, chance: random.Random) -> list[Visit]:
    """Return where a request goes, with times around the measured ones."""
    spread = chance.gammavariate(4.0, 0.25)
    found = [("servers", costs[name] / 1e3 * spread)]
    if name in {"kit with run sheet and labels", "recut of a piece"}:
        found.append(("database", costs["database, a kit stored"] / 1e3 * spread))
    if name in {"a stored kit", "a page of the list"}:
        found.append(("database", costs["database, a kit read"] / 1e3 * spread))
    return found


def arriving(
    studios: int, costs: Costs, chance: random.Random
) -> Iterator[tuple[float, list[Visit]]]:
    """Yield the requests of so many studios in their busiest hour, at random times."""
    names, weights = list(HOUR), list(HOUR.values())
    rate, now = studios * sum(weights) / 3600, 0.0
    while True:
        now += chance.expovariate(rate)
        yield now, visits(chance.choices(names, weights)[0], costs, chance)


def simulated(studios: int, cores: int, costs: Costs) -> Seen:
    """Return what the studios see of a set-up with so many processors for its servers."""
    # As many parts as keep the number of events in bounds; the database is shared by all of them,
    # so a part is given its share by slower visits rather than by part of a server.
    requests_a_second = studios * sum(HOUR.values()) / 3600
    seconds = min(3600.0, max(60.0, _SIMULATED / requests_a_second))
    chance = random.Random(1)
    stations = {"servers": cores, "database": DATABASE_CORES}
    return Simulation(stations).run_open(arriving(studios, costs, chance), seconds)


DATABASE_CORES = 4


def cores_needed(studios: int, costs: Costs) -> int:
    """Return the processors with which the servers stay below `FULL`."""
    spent = sum(number * costs[name] for name, number in HOUR.items()) / 1e3
    return max(1, -(-int(studios * spent * 1000) // int(3600 * FULL * 1000)))


def night_cores(studios: int, costs: Costs) -> int:
    """Return the workers' processors that do the night's batches in time."""
    kits = studios / SHOPS * NIGHT
    spent = kits * costs["kit with run sheet and labels"] / 1e3
    return max(1, -(-int(spent) // (NIGHT_H * 3600)))


def print_table(costs: Costs) -> None:
    """Print set-ups for 10 to 100,000 studios."""
    print("| studios | requests per second | servers' processors | busy | database busy | p50, ms "
          "| p99, ms | workers' processors at night |")  # fmt: skip
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for studios in (10, 100, 1_000, 10_000, 100_000):
        cores = cores_needed(studios, costs)
        seen = simulated(studios, cores, costs)
        print(
            f"| {studios:,} | {studios * sum(HOUR.values()) / 3600:.1f} | {cores} "
            f"| {seen.busy['servers']:.0%} | {seen.busy['database']:.1%} | {seen.p50_s * 1e3:.0f} "
            f"| {seen.p99_s * 1e3:.0f} | {night_cores(studios, costs)} |",
            flush=True,
        )


def measured_closed(
    url: str, clients: int, seconds: float, numbers: Iterator[int]
) -> tuple[float, float, float]:
    """Return requests per second, p50 and p99 in ms, of clients that send small kits' layouts."""
    took: list[float] = []
    end = time.perf_counter() + seconds

    def work() -> None:
        session = requests.Session()
        while time.perf_counter() < end:
            body = small_kit(next(numbers))
            began = time.perf_counter()
            session.post(f"{url}/v1/layouts", json=body, timeout=WAIT_S).raise_for_status()
            took.append(time.perf_counter() - began)

    threads = [threading.Thread(target=work) for _ in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    points = statistics.quantiles(took, n=100)
    return len(took) / seconds, points[49] * 1e3, points[98] * 1e3


def print_check(costs: Costs, cores: int, seconds: float) -> None:
    """Print measured and simulated rates of clients that wait for each answer."""
    name = "layout of 24 pieces"
    print("| clients | measured, per second | simulated | measured p50, ms | simulated "
          "| measured p99, ms | simulated |")  # fmt: skip
    print("| --- | --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder, serving(Path(folder)) as (url, _):
        # No two layouts are alike, in any of the measurements.
        numbers = count()
        measured_closed(url, 4, 5, numbers)
        for clients in (1, 4, 16):
            rate, p50, p99 = measured_closed(url, clients, seconds, numbers)
            chance = random.Random(clients)

            def request(chance: random.Random = chance) -> Sequence[Visit]:
                return visits(name, costs, chance)

            seen = Simulation({"servers": cores, "database": 1}).run_closed(
                clients, request, seconds
            )
            print(
                f"| {clients} | {rate:.0f} | {seen.rate:.0f} | {p50:.0f} | {seen.p50_s * 1e3:.0f} "
                f"| {p99:.0f} | {seen.p99_s * 1e3:.0f} |",
                flush=True,
            )


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("costs", type=Path)
    parser.add_argument("--check", action="store_true")
    parser.add_argument("--cores", type=int, default=2, help="of this machine")
    parser.add_argument("--seconds", type=float, default=20.0)
    stated = parser.parse_args()
    kept = json.loads(stated.costs.read_text(encoding="utf-8"))
    costs = {name: float(cost["cpu_ms"]) for name, cost in kept.items()}
    if stated.check:
        print_check(costs, stated.cores, stated.seconds)
    else:
        print_table(costs)


if __name__ == "__main__":
    main()
