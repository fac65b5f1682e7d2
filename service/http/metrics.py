"""Metrics for Prometheus: requests, answers and computations, summed over all processes."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator, Mapping
from typing import Any

from flask import Flask, Response, current_app, g, request
from prometheus_client import (
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    generate_latest,
    multiprocess,
)
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from service.http.shared_figures import FOLDER

_SECONDS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 30, 60)


class ServiceMetrics:
    """The metrics of one application."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self._known: dict[tuple[str, str, int], tuple[Counter, Histogram]] = {}
        own: dict[str, Any] = {"registry": self.registry}
        self.answers = Counter(
            "quarterseam_http_requests_total", "Answers by route and status",
            ["method", "route", "status"], **own,
        )  # fmt: skip
        self.seconds = Histogram(
            "quarterseam_http_request_duration_seconds", "Time to answer, by route",
            ["method", "route"], buckets=_SECONDS, **own,
        )  # fmt: skip
        self.running = Gauge(
            "quarterseam_requests_running", "Requests being answered",
            multiprocess_mode="livesum", **own,
        )  # fmt: skip
        self.computations = Counter(
            "quarterseam_computations_total", "Computations by kind, place and end",
            ["task", "place", "end"], **own,
        )  # fmt: skip
        self.phases = Counter(
            "quarterseam_computation_seconds_total",
            "Time of requests' computations, by kind, place and phase",
            ["task", "place", "phase"], **own,
        )  # fmt: skip

    def count(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count one answer."""
        key = (method, route, status)
        found = self._known.get(key)
        if found is None:
            found = (
                self.answers.labels(method, route, str(status)),
                self.seconds.labels(method, route),
            )
            # Two threads may create the same pair at once; both get the same metrics.
            self._known[key] = found
        answers, taken = found
        answers.inc()
        taken.observe(seconds)

    def count_computation(
        self, task: str, place: str, end: str, seconds: Mapping[str, float]
    ) -> None:
        """Count one computation and the seconds of its phases."""
        self.computations.labels(task, place, end).inc()
        for phase, taken in seconds.items():
            self.phases.labels(task, place, phase).inc(taken)

    def text(self) -> bytes:
        """Return all metrics in Prometheus' text format, summed over all processes."""
        if FOLDER not in os.environ:
            return generate_latest(self.registry)
        # A separate registry: the others belong to this process only.
        together = CollectorRegistry()
        multiprocess.MultiProcessCollector(together)  # type: ignore[no-untyped-call]
        return generate_latest(together)


def gauges_text(gauges: Mapping[str, tuple[str, float]]) -> bytes:
    """Return gauges in Prometheus' text format, from their name, description and value."""
    registry = CollectorRegistry()
    for name, (meaning, value) in gauges.items():
        # From this process only: they describe the store, which all processes share.
        registry.register(_Measured(name, meaning, value))
    return generate_latest(registry)


class _Measured(Collector):
    def __init__(self, name: str, meaning: str, value: float) -> None:
        self._family = GaugeMetricFamily(name, meaning, value=value)

    def collect(self) -> Iterator[Metric]:
        yield self._family


def register(app: Flask) -> None:
    """Count the requests of an application."""
    app.extensions["quarterseam-figures"] = ServiceMetrics()
    app.before_request(_begin)
    app.after_request(_end)
    app.teardown_request(_leave)


def _figures() -> ServiceMetrics:
    return current_app.extensions["quarterseam-figures"]  # type: ignore[no-any-return]


def _begin() -> None:
    g.counted_from = time.perf_counter()
    _figures().running.inc()


def _end(response: Response) -> Response:
    # The route, never the path: paths hold ids, and their number is unlimited.
    route = request.url_rule.rule if request.url_rule is not None else "none"
    method = request.method if request.url_rule is not None else "any"
    taken = time.perf_counter() - getattr(g, "counted_from", time.perf_counter())
    _figures().count(method, route, response.status_code, taken)
    return response


def _leave(_: BaseException | None) -> None:
    if "counted_from" in g:
        _figures().running.dec()
