"""Queues in front of processors, as discrete events.

A station has some servers, which take what waits in the order it came. A visit is a station and
the time that it takes there; a request is a list of visits, one after the other.
"""

from __future__ import annotations

import heapq
import statistics
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from math import inf

#: A station's name and seconds there.
Visit = tuple[str, float]


@dataclass
class _Station:
    servers: int
    busy: int = 0
    busy_s: float = 0.0
    waiting: deque[_Request] = field(default_factory=deque)


@dataclass
class _Request:
    client: int
    began: float
    visits: Sequence[Visit]
    at: int = 0


@dataclass(frozen=True)
class Seen:
    """Requests per second, seconds from request to answer, and how busy the stations were."""

    rate: float
    p50_s: float
    p99_s: float
    busy: Mapping[str, float]


class Simulation:
    """Requests that pass through stations until a time."""

    def __init__(self, servers: Mapping[str, int]) -> None:
        """Start with idle stations of so many servers each."""
        self._stations = {name: _Station(number) for name, number in servers.items()}
        self._events: list[tuple[float, int, Callable[[], None]]] = []
        self._order = count()
        self._now = 0.0
        self._took: list[float] = []

    def run_open(self, arrivals: Iterator[tuple[float, Sequence[Visit]]], seconds: float) -> Seen:
        """Let requests arrive at their times, whatever waits; times rise."""

        def next_one() -> None:
            when, visits = next(arrivals, (inf, ()))
            if when < seconds:
                self._at(when, partial(arrive, _Request(0, when, visits)))

        def arrive(request: _Request) -> None:
            self._begin(request)
            next_one()

        next_one()
        return self._run(seconds, after=None)

    def run_closed(
        self, clients: int, visits: Callable[[], Sequence[Visit]], seconds: float
    ) -> Seen:
        """Let so many clients each send the next request when the one before is answered."""
        for client in range(clients):
            self._begin(_Request(client, 0.0, visits()))
        return self._run(
            seconds, after=lambda old: self._begin(_Request(old.client, self._now, visits()))
        )

    def _at(self, when: float, do: Callable[[], None]) -> None:
        heapq.heappush(self._events, (when, next(self._order), do))

    def _begin(self, request: _Request) -> None:
        station = self._stations[request.visits[request.at][0]]
        station.waiting.append(request)
        self._serve(station)

    def _serve(self, station: _Station) -> None:
        while station.busy < station.servers and station.waiting:
            request = station.waiting.popleft()
            took = request.visits[request.at][1]
            station.busy += 1
            station.busy_s += took
            self._at(self._now + took, partial(self._left, station, request))

    def _left(self, station: _Station, request: _Request) -> None:
        station.busy -= 1
        request.at += 1
        if request.at < len(request.visits):
            self._begin(request)
        else:
            self._took.append(self._now - request.began)
            if self._after is not None:
                self._after(request)
        self._serve(station)

    def _run(self, seconds: float, after: Callable[[_Request], None] | None) -> Seen:
        self._after = after
        while self._events and self._events[0][0] < seconds:
            self._now, _, do = heapq.heappop(self._events)
            do()
        points = statistics.quantiles(self._took, n=100) if len(self._took) > 1 else [inf] * 99
        busy = {
            name: each.busy_s / (each.servers * seconds) for name, each in self._stations.items()
        }
        return Seen(len(self._took) / seconds, points[49], points[98], busy)
