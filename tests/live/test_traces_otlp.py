"""Spans of a server and a worker, as a collector receives them: OTLP over HTTP, on loopback."""

from __future__ import annotations

import gzip
import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
import requests

from tests.live import live_jobs

service_pb2 = pytest.importorskip(
    "opentelemetry.proto.collector.trace.v1.trace_service_pb2",
    reason="OpenTelemetry's exporter is not installed",
)
ROOT = Path(__file__).resolve().parents[2]
TRACE, CALLER = "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7"
CALLED = {"traceparent": f"00-{TRACE}-{CALLER}-01"}


class Collector:
    """Receives spans (https://opentelemetry.io/docs/specs/otlp/, OTLP/HTTP in binary form)."""

    def __init__(self) -> None:
        self.spans: list[tuple[dict[str, str], Any]] = []
        collector = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                if self.headers.get("Content-Encoding") == "gzip":
                    body = gzip.decompress(body)
                assert self.path == "/v1/traces"
                collector.take(body)
                self.send_response(200)
                self.send_header("Content-Type", "application/x-protobuf")
                self.send_header("Content-Length", "0")
                self.end_headers()

            def log_message(self, *_: object) -> None:
                """Write nothing."""

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.url = f"http://127.0.0.1:{self._server.server_port}"
        threading.Thread(target=self._server.serve_forever, daemon=True).start()

    def take(self, body: bytes) -> None:
        received = service_pb2.ExportTraceServiceRequest.FromString(body)
        for each in received.resource_spans:
            about = {a.key: a.value.string_value for a in each.resource.attributes}
            self.spans += [(about, span) for scope in each.scope_spans for span in scope.spans]

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()


@pytest.fixture
def collector() -> Iterator[Collector]:
    made = Collector()
    yield made
    made.close()


def test_a_collector_gets_one_trace_of_server_worker_child_and_adapter(
    make_server: Callable[..., Any], collector: Collector
) -> None:
    traced = {
        **live_jobs.QUICK,
        "OTEL_EXPORTER_OTLP_ENDPOINT": collector.url,
        "OTEL_BSP_SCHEDULE_DELAY": "200",
        "QUARTERSEAM_WORKERS": "1",
    }
    server = make_server(command=live_jobs.SERVER, **traced)
    worker = make_server(data=server.data, command=live_jobs.WORKER, **traced)
    asked = requests.post(
        f"{server.url}/v1/kits",
        json=live_jobs.small_kit("Traced"),
        headers=live_jobs.ASYNC | CALLED,
        timeout=600,
    )
    link = asked.headers["Location"]
    job = live_jobs.wait_for(server.url, [link], 600)[link]
    assert job["state"] == "succeeded"
    # What has ended is sent when a process ends, at the latest.
    assert worker.stop() == 0, worker.log.read_text()
    assert server.stop() == 0, server.log.read_text()
    ours = [(about, span) for about, span in collector.spans if span.trace_id.hex() == TRACE]
    names = {span.span_id.hex(): span.name for _, span in ours}
    parents = {span.name: names.get(span.parent_span_id.hex(), "") for _, span in ours}
    assert parents["POST /v1/kits"] == ""
    (request,) = (span for _, span in ours if span.name == "POST /v1/kits")
    assert request.parent_span_id.hex() == CALLER
    assert parents["job kit"] == "POST /v1/kits"
    assert parents["child process"] == "job kit"
    assert parents["files 1"] == "child process"
    assert parents["write svg"] == "files 1"
    assert {about["service.name"] for about, _ in ours} == {"quarterseam"}
    for each in (server, worker):
        lines = [json.loads(line) for line in each.log.read_text().splitlines()]
        assert any(line.get("trace_id") == TRACE for line in lines)
        assert not [line for line in lines if line["level"] == "ERROR"]


@pytest.mark.long
def test_a_collector_that_is_away_stops_nothing(make_server: Callable[..., Any]) -> None:
    # Port 9 is discard's; nothing answers there.
    server = make_server(OTEL_EXPORTER_OTLP_ENDPOINT="http://127.0.0.1:9", QUARTERSEAM_WORKERS="1")
    made = requests.post(f"{server.url}/v1/kits", json=live_jobs.small_kit("Untraced"), timeout=600)
    assert made.status_code == 201
    assert server.stop() == 0, server.log.read_text()


@pytest.mark.long
def test_without_a_collector_no_library_of_traces_is_imported(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from service.serving import server\n"
        "from service.jobs import worker\n"
        "from service.tracing import otel\n"
        "otel.set_up()\n"
        # Redis' driver imports what measures, where it is installed.
        "parts = ('opentelemetry.exporter', 'opentelemetry.sdk.trace')\n"
        "found = [name for name in sys.modules if name.startswith(parts)]\n"
        "sys.exit(str(found) if found else 0)\n"
    )
    known = {name: value for name, value in os.environ.items() if not name.startswith("OTEL_")}
    outcome = subprocess.run(
        [sys.executable, "-c", code],
        env={**known, "PYTHONPATH": str(ROOT), "QUARTERSEAM_DATA": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert outcome.returncode == 0, outcome.stderr
