"""Metrics of jobs, and the alert rules and the dashboard that read our metrics."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from prometheus_client.parser import text_string_to_metric_families
from sqlalchemy import update

from service.storage.jobs import NewJob
from service.storage.orders import Order, QueueLimits
from service.storage.store import Store
from service.storage.tables import JOBS
from tests.contract.conftest import SMALL_KIT

yaml = pytest.importorskip("yaml", reason="no reader of YAML is installed")
DOCKER = Path(__file__).resolve().parents[2] / "docker"
_METRIC = re.compile(r"quarterseam_\w+")


def _metrics(app: Flask) -> dict[str, float]:
    """Return the metrics without labels (Prometheus' text format: name, space, value)."""
    text = app.test_client().get("/metrics").text
    found = re.findall(r"^(quarterseam_\w+) (\S+)$", text, re.MULTILINE)
    return {name: float(value) for name, value in found}


def _warnings(app: Flask) -> list[str]:
    warnings = app.test_client().get("/readyz").get_json()["warnings"]
    return [each for each in warnings if "jobs" in each]


def test_jobs_are_measured(app: Flask) -> None:
    store: Store = app.extensions["quarterseam-store"]()
    names = ("jobs_queued", "jobs_running", "jobs_retried", "oldest_queued_job_seconds")
    found = _metrics(app)
    assert [found[f"quarterseam_{name}"] for name in names] == [0, 0, 0, 0]
    ids = [str(uuid.uuid4()) for _ in range(4)]
    limits = QueueLimits(jobs=10, jobs_per_key=10, effort_s=1e9)
    for job_id in ids:
        job = NewJob(job_id, "kit", "Pier", b"{}", "", None)
        store.jobs.add(job, order=Order("", 1, 1.0), limits=limits)
    assert _warnings(app) == []
    with store.engine.begin() as connection:
        # An hour ago by the database's clock, so that no other clock matters.
        hour = JOBS.c.created_us - 3600 * 1_000_000
        connection.execute(update(JOBS).values(created_us=hour))
    (warning,) = _warnings(app)
    assert warning.startswith("4 jobs wait and none runs; the oldest was created 6")
    for job_id in ids[:2]:
        assert store.jobs.claim(job_id) is not None
    store.jobs.cancel(ids[3])
    with store.engine.begin() as connection:
        connection.execute(update(JOBS).where(JOBS.c.id == ids[0]).values(attempts=2))
    found = _metrics(app)
    assert [found[f"quarterseam_{name}"] for name in names[:3]] == [1, 2, 1]
    assert 3600 <= found["quarterseam_oldest_queued_job_seconds"] < 7200
    assert 3600 <= found["quarterseam_oldest_running_job_seconds"] < 7200
    assert _warnings(app) == []


def _expressions(value: Any) -> list[str]:
    """Return every expression of a file of rules or of a dashboard."""
    if isinstance(value, list):
        return [each for part in value for each in _expressions(part)]
    if not isinstance(value, dict):
        return []
    own = [value["expr"]] if "expr" in value else []
    return own + _expressions(list(value.values()))


def _labels_of_metrics(app: Flask) -> dict[str, set[str]]:
    """Return the labels of every metric, as it is exposed once something was done."""
    client = app.test_client()
    assert client.post("/v1/kits", json=SMALL_KIT).status_code == 201
    store: Store = app.extensions["quarterseam-store"]()
    store.job_totals.observe("kit", {"waiting": 1.0})
    store.job_totals.count_end("kit", "failed", 1)
    store.job_totals.write()
    found: dict[str, set[str]] = {}
    for family in text_string_to_metric_families(client.get("/metrics").text):
        for sample in family.samples:
            found.setdefault(sample.name, set()).update(sample.labels)
    return found


def _check_expression(expression: str, measured: Mapping[str, set[str]]) -> None:
    """Check that metrics exist with the labels that an expression selects and groups by."""
    metrics = _METRIC.findall(expression)
    known: set[str] = set()
    for metric in metrics:
        assert metric in measured, metric
        known |= measured[metric]
    for metric, selected in re.findall(r"(quarterseam_\w+)\{([^}]*)\}", expression):
        for label in re.findall(r"(\w+)\s*(?:=~|!~|!=|=)", selected):
            assert label in measured[metric], (metric, label)
    for grouped in re.findall(r"\bby \(([^)]*)\)", expression):
        assert {each.strip() for each in grouped.split(",")} <= known, expression


def test_a_metric_or_a_label_that_is_not_there_is_seen() -> None:
    """What the check below must find, or it says nothing."""
    measured = {"quarterseam_a_total": {"kind"}}
    _check_expression('sum by (kind) (rate(quarterseam_a_total{kind="x"}[5m]))', measured)
    for wrong in (
        "quarterseam_b_total > 0",
        'quarterseam_a_total{state="x"}',
        "sum by (state) (quarterseam_a_total)",
    ):
        with pytest.raises(AssertionError):
            _check_expression(wrong, measured)


@pytest.mark.parametrize("name", ["alerts.yaml", "dashboard.json"])
def test_what_is_watched_is_measured(app: Flask, name: str) -> None:
    text = (DOCKER / name).read_text(encoding="utf-8")
    expressions = _expressions(json.loads(text) if name.endswith("json") else yaml.safe_load(text))
    assert len(expressions) >= 8
    measured = _labels_of_metrics(app)
    for expression in expressions:
        assert expression.count("(") == expression.count(")")
        _check_expression(expression, measured)
    if name == "alerts.yaml":
        rules = [rule for group in yaml.safe_load(text)["groups"] for rule in group["rules"]]
        for rule in rules:
            assert {"alert", "expr", "for", "labels", "annotations"} == set(rule)
            assert rule["labels"]["severity"] in {"page", "warning"}
            assert rule["annotations"]["summary"]
