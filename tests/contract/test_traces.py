"""One trace joins a request, its job, the child process and the adapters (OpenTelemetry's SDK)."""

from __future__ import annotations

import json
import logging
import threading
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from service.app import create_app
from service.jobs.runner import Runner
from service.settings import Settings
from service.storage.store import Store
from service.storage.tables import JOBS
from service.tracing import otel, spans
from service.tracing.json_lines import JsonFormatter
from service.tracing.trace_context import parse

sdk = pytest.importorskip("opentelemetry.sdk.trace", reason="OpenTelemetry's SDK is not installed")
from opentelemetry.sdk.trace.export import SimpleSpanProcessor  # noqa: E402
from opentelemetry.sdk.trace.export.in_memory_span_exporter import (  # noqa: E402
    InMemorySpanExporter,
)

ASYNC = {"Prefer": "respond-async"}
TRACE, CALLER = "0af7651916cd43dd8448eb211c80319c", "b7ad6b7169203331"
CALLED = {"traceparent": f"00-{TRACE}-{CALLER}-01"}


@pytest.fixture
def recorded() -> Iterator[InMemorySpanExporter]:
    exporter = InMemorySpanExporter()
    provider = sdk.TracerProvider()
    provider.add_span_processor(SimpleSpanProcessor(exporter))
    spans.use(otel.OtelTracer(provider))
    yield exporter
    spans.use(None)
    spans.enter(None)


@pytest.fixture
def own(tmp_path: Path) -> Iterator[Flask]:
    app = create_app(Settings(data=tmp_path / "data"))
    yield app
    app.extensions["quarterseam-store"]().close()


@pytest.fixture
def lines() -> Iterator[list[dict[str, Any]]]:
    """The lines of the service's log."""
    written: list[dict[str, Any]] = []

    class Handler(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            written.append(json.loads(JsonFormatter().format(record)))

    handler, logger = Handler(), logging.getLogger("service")
    before = logger.level
    logger.addHandler(handler)
    logger.setLevel(logging.INFO)
    yield written
    logger.removeHandler(handler)
    logger.setLevel(before)


def _store(app: Flask) -> Store:
    store: Store = app.extensions["quarterseam-store"]()
    return store


def _finished(recorded: InMemorySpanExporter) -> list[Any]:
    return list(recorded.get_finished_spans())


def _work(app: Flask, job_id: str) -> None:
    store = _store(app)
    work = store.jobs.claim(job_id)
    assert work is not None
    # Another thread, as in a worker: nothing is known there but what is stored.
    runner = Runner(store, app.config["SETTINGS"], threading.Event())
    thread = threading.Thread(target=runner.run, args=(work,))
    thread.start()
    thread.join()


def _ways(made: Iterable[Any]) -> dict[str, list[str]]:
    """Return the names from the outermost span to each, by the name of each."""
    by_id = {span.context.span_id: span for span in made}
    ways: dict[str, list[str]] = {}
    for span in made:
        way, at = [], span
        while at is not None:
            way.append(at.name)
            at = None if at.parent is None else by_id.get(at.parent.span_id)
        ways[span.name] = way[::-1]
    return ways


def _named(made: Iterable[Any], name: str) -> Any:
    (found,) = (span for span in made if span.name == name)
    return found


def test_one_trace_from_the_caller_to_the_adapter(
    own: Flask, recorded: InMemorySpanExporter, small_kit: dict[str, Any]
) -> None:
    answer = own.test_client().post("/v1/kits", json=small_kit, headers=ASYNC | CALLED)
    assert answer.status_code == 202
    _work(own, answer.get_json()["id"])
    made = _finished(recorded)
    assert {f"{span.context.trace_id:032x}" for span in made} == {TRACE}
    ways = _ways(made)
    request, job, child = "POST /v1/kits", "job kit", "child process"
    assert ways["write svg"] == [request, job, child, "files 1", "write svg"]
    assert ways["read back svg"] == [request, job, child, "files 1", "read back svg"]
    for step in ("outlines", "layout 1", "documents", "zip"):
        assert ways[step] == [request, job, child, step]
    assert ways["store"] == [request, job, "store"]
    outermost = _named(made, request)
    assert f"{outermost.parent.span_id:016x}" == CALLER
    assert (outermost.kind.name, _named(made, job).kind.name) == ("SERVER", "CONSUMER")
    # Names of attributes: OpenTelemetry's semantic conventions for HTTP spans.
    expected = {
        "http.request.method": "POST", "http.route": "/v1/kits", "http.response.status_code": 202,
    }  # fmt: skip
    assert expected.items() <= dict(outermost.attributes).items()
    assert _named(made, job).attributes["quarterseam.job.outcome"] == "succeeded"
    assert _named(made, child).attributes["process.pid"] > 1
    assert all(span.status.is_unset for span in made)


def test_what_is_part_of_what_lies_within_its_time(
    own: Flask, recorded: InMemorySpanExporter, small_kit: dict[str, Any]
) -> None:
    assert own.test_client().post("/v1/kits", json=small_kit).status_code == 201
    made = _finished(recorded)
    by_id = {span.context.span_id: span for span in made}
    assert len(made) > 6
    # Two processes of one machine read one clock; steps are measured by another one from there on.
    slack_ns = 50_000_000
    for span in made:
        assert span.start_time <= span.end_time
        if span.parent is not None:
            parent = by_id[span.parent.span_id]
            assert parent.start_time - slack_ns <= span.start_time
            assert span.end_time <= parent.end_time + slack_ns


def test_probes_are_not_traced_and_errors_are_stated(
    own: Flask, recorded: InMemorySpanExporter, small_kit: dict[str, Any]
) -> None:
    client = own.test_client()
    for path in ("/healthz", "/readyz", "/metrics"):
        assert client.get(path).status_code == 200
    assert recorded.get_finished_spans() == ()
    assert client.get("/nowhere").status_code == 404
    wrong: Mapping[str, Any] = small_kit | {"pieces": []}
    assert client.post("/v1/kits", json=wrong).status_code == 422
    names = [(span.name, span.status.is_unset) for span in recorded.get_finished_spans()]
    # By the conventions, an error of the caller is none of the server's span.
    assert names == [("GET", True), ("POST /v1/kits", True)]


def test_a_batch_is_one_trace(
    own: Flask, recorded: InMemorySpanExporter, small_kit: dict[str, Any]
) -> None:
    batch = {"requests": [small_kit, small_kit | {"title": "Another"}]}
    answer = own.test_client().post("/v1/batches", json=batch, headers=CALLED)
    assert answer.status_code == 202
    with _store(own).engine.connect() as connection:
        ids = connection.execute(select(JOBS.c.id)).scalars().all()
    for job_id in ids:
        _work(own, job_id)
    made = _finished(recorded)
    jobs = [span for span in made if span.name == "job kit"]
    assert len(jobs) == 2
    assert {f"{span.context.trace_id:032x}" for span in made} == {TRACE}
    assert {span.attributes["quarterseam.batch.id"] for span in jobs} == {answer.get_json()["id"]}


@pytest.mark.parametrize("is_traced", [True, False])
def test_the_log_of_a_request_and_its_job_has_one_trace_id(
    own: Flask,
    lines: list[dict[str, Any]],
    request: pytest.FixtureRequest,
    small_kit: dict[str, Any],
    *,
    is_traced: bool,
) -> None:
    if is_traced:
        request.getfixturevalue("recorded")
    for headers in (CALLED, {}, {"traceparent": "rubbish"}, {"X-Request-ID": "mine"}):
        lines.clear()
        answer = own.test_client().post("/v1/kits", json=small_kit, headers=ASYNC | headers)
        _work(own, answer.get_json()["id"])
        ids = {line["trace_id"] for line in lines}
        assert {"answered", "job"} <= {line["message"] for line in lines}
        assert len(ids) == 1
        (trace_id,) = ids
        assert (trace_id == TRACE) == (headers == CALLED)
        assert parse(f"00-{trace_id}-{CALLER}-01") is not None
        request_ids = {line["request_id"] for line in lines}
        assert request_ids == {answer.headers["X-Request-ID"]}
        (job,) = (line for line in lines if line["message"] == "job")
        assert job["seconds"]["layout"] >= 0.0


def test_nothing_is_imported_unless_a_collector_is_named(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    for name in ("OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT"):
        monkeypatch.delenv(name, raising=False)
    otel.set_up()
    assert spans.tracer() is None
    # Without the extra the service runs as before, and says what is missing.
    monkeypatch.setenv("OTEL_EXPORTER_OTLP_ENDPOINT", "http://127.0.0.1:4318")
    monkeypatch.setattr(otel, "_NEEDED", ("no.such.module",))
    with caplog.at_level(logging.WARNING):
        otel.set_up()
    assert spans.tracer() is None
    assert "quarterseam[traces]" in caplog.text
