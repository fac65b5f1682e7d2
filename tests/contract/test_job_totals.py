"""Metrics of jobs that have ended: added up by workers, read from any server's /metrics.

The text is read by Prometheus' own parser of its format.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from prometheus_client.parser import text_string_to_metric_families
from sqlalchemy import text
from sqlalchemy.exc import SQLAlchemyError

from service.app import create_app
from service.jobs.runner import Runner
from service.settings import Settings
from service.storage.job_sweep import sweep
from service.storage.job_totals import BOUNDS_S, JobTotals
from service.storage.jobs import MAX_ATTEMPTS
from service.storage.store import Store

ASYNC = {"Prefer": "respond-async"}
PHASES = {"waiting", "outlines", "layout", "files", "documents", "zip", "other", "storing"}


@pytest.fixture
def own(tmp_path: Path) -> Iterator[Flask]:
    app = create_app(Settings(data=tmp_path / "data"))
    yield app
    app.extensions["quarterseam-store"]().close()


def _store(app: Flask) -> Store:
    store: Store = app.extensions["quarterseam-store"]()
    return store


def _samples(app: Flask, name: str) -> dict[tuple[str, ...], float]:
    """Return the samples of a name by the values of their labels, in the order of their names."""
    output = app.test_client().get("/metrics").text
    return {
        tuple(value for _, value in sorted(sample.labels.items())): sample.value
        for family in text_string_to_metric_families(output)
        for sample in family.samples
        if sample.name == name
    }


def test_a_histogram_adds_up_what_two_processes_saw(own: Flask) -> None:
    """Worked by hand: 0.04 and 0.05 in the first bucket, 2 up to 3 s, 5000 beyond all bounds.

    Bounds are inclusive (Prometheus: ``le``). The sum is 5002.09 s.
    """
    one, other = (JobTotals(_store(own).engine) for _ in range(2))
    one.observe("kit", {"layout": 0.04})
    one.observe("kit", {"layout": 2.0})
    one.write()
    other.observe("kit", {"layout": 0.05})
    other.observe("kit", {"layout": 5000.0})
    other.write()
    other.write()
    buckets = _samples(own, "quarterseam_job_phase_seconds_bucket")
    expected = {0.05: 2, 0.1: 2, 0.3: 2, 1.0: 2, 3.0: 3, 10.0: 3, 30.0: 3, 100.0: 3, 300.0: 3}
    found = {float(le): count for (_, le, _), count in buckets.items()}
    assert found == expected | {1000.0: 3, 3000.0: 3, float("inf"): 4}
    assert set(found) == {*BOUNDS_S, float("inf")}
    at = ("kit", "layout")
    assert _samples(own, "quarterseam_job_phase_seconds_sum")[at] == pytest.approx(5002.09)
    assert _samples(own, "quarterseam_job_phase_seconds_count")[at] == 4


def test_ends_and_attempts_add_up(own: Flask) -> None:
    totals = _store(own).job_totals
    for attempts in (1, 3):
        totals.count_end("kit", "succeeded", attempts)
    totals.count_end("recut", "failed", 2)
    assert _samples(own, "quarterseam_jobs_ended_total") == {}
    totals.write()
    assert _samples(own, "quarterseam_jobs_ended_total") == {
        ("kit", "succeeded"): 2, ("recut", "failed"): 1,
    }  # fmt: skip
    assert _samples(own, "quarterseam_job_attempts_total") == {
        ("kit", "succeeded"): 4, ("recut", "failed"): 2,
    }  # fmt: skip


def test_what_cannot_be_written_is_kept(own: Flask) -> None:
    store = _store(own)
    store.job_totals.observe("kit", {"layout": 1.0})
    store.job_totals.count_end("kit", "succeeded", 1)
    with store.engine.begin() as connection:
        connection.execute(text("ALTER TABLE job_ends RENAME TO away"))
    with pytest.raises(SQLAlchemyError):
        store.job_totals.write()
    with store.engine.begin() as connection:
        connection.execute(text("ALTER TABLE away RENAME TO job_ends"))
    store.job_totals.observe("kit", {"layout": 1.0})
    store.job_totals.write()
    # All or nothing was written the first time.
    assert _samples(own, "quarterseam_job_phase_seconds_count") == {("kit", "layout"): 2}
    assert _samples(own, "quarterseam_jobs_ended_total") == {("kit", "succeeded"): 1}


def test_the_phases_of_a_job_are_its_time(own: Flask, small_kit: dict[str, Any]) -> None:
    store = _store(own)
    job = own.test_client().post("/v1/kits", json=small_kit, headers=ASYNC).get_json()
    work = store.jobs.claim(job["id"])
    assert work is not None
    Runner(store, own.config["SETTINGS"], threading.Event()).run(work)
    store.job_totals.write()
    seconds = _samples(own, "quarterseam_job_phase_seconds_sum")
    assert {phase for _, phase in seconds} == PHASES
    assert all(value >= 0.0 for value in seconds.values())
    assert min(seconds["kit", each] for each in ("layout", "files", "documents", "zip")) > 0.0
    # The database's own times of the job: from its creation to its end, to a millisecond each.
    row = store.jobs.get(job["id"])
    whole = (row.ended_us - row.created_us) / 1e6
    assert sum(seconds.values()) == pytest.approx(whole, abs=0.5, rel=0.5)
    assert _samples(own, "quarterseam_jobs_ended_total") == {("kit", "succeeded"): 1}


def test_jobs_that_are_given_up_are_counted(own: Flask, small_kit: dict[str, Any]) -> None:
    store = _store(own)
    job = own.test_client().post("/v1/kits", json=small_kit, headers=ASYNC).get_json()
    for _ in range(MAX_ATTEMPTS):
        with store.engine.begin() as connection:
            connection.execute(text("UPDATE jobs SET state = 'queued'"))
        assert store.jobs.claim(job["id"]) is not None
    with store.engine.begin() as connection:
        connection.execute(text("UPDATE jobs SET lease_us = 0"))
    sweep(store.jobs, b"{}", store.job_totals.count_end)
    store.job_totals.write()
    assert _samples(own, "quarterseam_jobs_ended_total") == {("kit", "failed"): 1}
    assert _samples(own, "quarterseam_job_attempts_total") == {("kit", "failed"): MAX_ATTEMPTS}


def test_the_phases_of_a_request_are_counted(own: Flask, small_kit: dict[str, Any]) -> None:
    assert own.test_client().post("/v1/kits", json=small_kit).status_code == 201
    found = _samples(own, "quarterseam_computation_seconds_total")
    phases = {phase for phase, place, task in found if (place, task) == ("child", "kit")}
    assert phases == PHASES - {"storing"}
