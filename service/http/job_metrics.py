"""Metrics of all jobs that were ever done on a store, in Prometheus' text format."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import accumulate

from prometheus_client import CollectorRegistry, generate_latest
from prometheus_client.core import CounterMetricFamily, HistogramMetricFamily, Metric
from prometheus_client.registry import Collector
from prometheus_client.utils import floatToGoString

from service.storage.job_totals import BOUNDS_S, JobEnds, PhaseSeconds


def job_metrics_text(phases: Iterable[PhaseSeconds], ends: Iterable[JobEnds]) -> bytes:
    """Return the metrics of jobs that workers have written to the database."""
    registry = CollectorRegistry()
    registry.register(_JobMetrics(phases, ends))
    return generate_latest(registry)


class _JobMetrics(Collector):
    def __init__(self, phases: Iterable[PhaseSeconds], ends: Iterable[JobEnds]) -> None:
        self._seconds = HistogramMetricFamily(
            "quarterseam_job_phase_seconds",
            "Time of attempts at jobs, by kind and phase",
            labels=["kind", "phase"],
        )
        bounds = [*map(floatToGoString, BOUNDS_S), "+Inf"]
        for each in phases:
            buckets = list(zip(bounds, map(float, accumulate(each.counts)), strict=True))
            self._seconds.add_metric([each.kind, each.phase], buckets, each.seconds)
        self._ended = CounterMetricFamily(
            "quarterseam_jobs_ended", "Jobs that workers ended", labels=["kind", "state"]
        )
        self._attempts = CounterMetricFamily(
            "quarterseam_job_attempts", "Attempts at these jobs", labels=["kind", "state"]
        )
        for end in ends:
            self._ended.add_metric([end.kind, end.state], end.jobs)
            self._attempts.add_metric([end.kind, end.state], end.attempts)

    def collect(self) -> Iterator[Metric]:
        yield from (self._seconds, self._ended, self._attempts)
