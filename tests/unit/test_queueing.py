"""The capacity model's queues beside published formulas.

Sources: M/M/1, response times are exponential with rate mu - lambda, and M/M/c, Erlang's C formula
(L. Kleinrock, Queueing Systems, volume 1, 1975, chapter 3; from memory); the interactive response
time law for clients that wait for answers (J. D. C. Little, 1961: N = rate x time).
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator

import pytest

from tests.benchmarks.queueing import Simulation, Visit


def arrivals(rate: float, service: float, seed: int) -> Iterator[tuple[float, list[Visit]]]:
    chance, now = random.Random(seed), 0.0  # noqa: S311 - no secrets
    while True:
        now += chance.expovariate(rate)
        yield now, [("desk", chance.expovariate(1.0 / service))]


def test_response_times_of_one_server_are_exponential() -> None:
    # lambda = 5, mu = 10 per second: median ln 2 / 5 = 0.1386 s, 99 % below ln 100 / 5 = 0.921.
    seen = Simulation({"desk": 1}).run_open(arrivals(5.0, 0.1, 7), 20_000.0)
    assert seen.rate == pytest.approx(5.0, rel=0.02)
    assert seen.busy["desk"] == pytest.approx(0.5, rel=0.02)
    assert seen.p50_s == pytest.approx(math.log(2.0) / 5.0, rel=0.04)
    assert seen.p99_s == pytest.approx(math.log(100.0) / 5.0, rel=0.06)


def test_four_servers_wait_as_erlang_says() -> None:
    # lambda = 32, mu = 10, c = 4: load 0.8; C = 0.5964, and the share of requests that take
    # longer than t is 1 - P(T <= t) of M/M/4; at the median 0.0958 s by bisection of that formula.
    offered, servers, mu, rate = 3.2, 4, 10.0, 32.0
    below = sum(offered**k / math.factorial(k) for k in range(servers))
    last = offered**servers / math.factorial(servers) * servers / (servers - offered)
    waits = last / (below + last)
    assert waits == pytest.approx(0.5964, abs=1e-4)

    def slower(t: float) -> float:
        drain = servers * mu - rate
        return (1 - waits) * math.exp(-mu * t) + waits * (
            drain * math.exp(-mu * t) - mu * math.exp(-drain * t)
        ) / (drain - mu)

    seen = Simulation({"desk": servers}).run_open(arrivals(rate, 1 / mu, 3), 4_000.0)
    assert slower(seen.p50_s) == pytest.approx(0.5, abs=0.02)
    assert slower(seen.p99_s) == pytest.approx(0.01, abs=0.003)


@pytest.mark.parametrize("clients", [1, 2, 5])
def test_clients_that_wait_obey_littles_law(clients: int) -> None:
    # Two desks of 0.2 s: five clients get 10 answers per second, each after 0.5 s.
    seen = Simulation({"desk": 2}).run_closed(clients, lambda: [("desk", 0.2)], 100.0)
    assert seen.rate == pytest.approx(min(clients, 2) / 0.2, rel=0.02)
    assert seen.p50_s == pytest.approx(max(0.2, clients / 10), rel=0.25)
