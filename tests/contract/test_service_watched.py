"""What those who run it see: figures, rates, the page of the contract, readiness."""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from service.app import create_app
from service.http.rate_limit import Rates
from service.jobs.queue_probe import QueueProbe
from service.settings import Settings
from service.views import docs


@pytest.fixture
def own(tmp_path: Path) -> Any:
    made: list[Flask] = []

    def make(**settings: Any) -> Flask:
        made.append(create_app(Settings(data=tmp_path / "data", **settings)))
        return made[-1]

    yield make
    for app in made:
        app.extensions["quarterseam-store"]().close()


def _figure(client: FlaskClient, name: str, **labels: str) -> float:
    output = client.get("/metrics").get_data(as_text=True)
    wanted = {f'{key}="{value}"' for key, value in labels.items()}
    for line in output.splitlines():
        match = re.fullmatch(rf"{name}(?:{{(.*)}})? (\S+)", line)
        if match and wanted <= set((match[1] or "").split(",")):
            return float(match[2])
    return 0.0


def test_requests_are_counted_by_route_and_status(
    own: Callable[..., Flask], small_kit: dict[str, Any]
) -> None:
    client = own().test_client()
    for kind in ("hexagon", "kite", "nonagon"):
        client.get(f"/v1/shapes/{kind}")
    client.get("/nowhere/at/all")
    client.post("/v1/kits", json=small_kit)
    client.post("/v1/kits", json=small_kit | {"pieces": []})
    counted = "quarterseam_http_requests_total"
    assert _figure(client, counted, route="/v1/shapes/<kind>", status="200") == 2
    assert _figure(client, counted, route="/v1/shapes/<kind>", status="404") == 1
    assert _figure(client, counted, route="none", status="404") == 1
    assert _figure(client, counted, route="/v1/kits", status="201") == 1
    assert _figure(client, "quarterseam_computations_total", task="kit", end="done") == 1
    assert _figure(client, "quarterseam_http_request_duration_seconds_count", route="/v1/kits") == 2
    assert "nowhere" not in client.get("/metrics").get_data(as_text=True)
    # This very request is the only one that runs.
    assert _figure(client, "quarterseam_requests_running") == 1


def test_figures_are_for_the_admin(own: Callable[..., Flask]) -> None:
    app = own(auth="on")
    keys = app.extensions["quarterseam-store"]().keys
    for scope, status in (("write", 403), ("admin", 200)):
        bearer = {"Authorization": f"Bearer {keys.add('x', scope)}"}
        assert app.test_client().get("/metrics", headers=bearer).status_code == status


def test_a_caller_that_asks_too_often_is_told_to_wait(own: Callable[..., Flask]) -> None:
    client = own(rate_per_minute=3).test_client()
    statuses = [client.get("/v1/shapes/kite").status_code for _ in range(4)]
    assert statuses == [200, 200, 200, 429]
    refused = client.get("/v1/shapes/kite")
    assert refused.get_json()["type"] == "/problems#too-many-requests"
    assert 0 < int(refused.headers["Retry-After"]) <= 20
    assert client.get("/healthz").status_code == 200
    other = client.get("/v1/shapes/kite", environ_base={"REMOTE_ADDR": "192.0.2.9"})
    assert other.status_code == 200


def test_callers_are_told_apart_by_their_address_only_as_far_as_proxies_are_trusted(
    own: Callable[..., Flask],
) -> None:
    for proxies, last in ((0, 429), (1, 200)):
        client = own(rate_per_minute=1, workers=1, trusted_proxies=proxies).test_client()
        for address, status in (("192.0.2.1", 200), ("192.0.2.2", last)):
            answer = client.get("/v1/shapes/kite", headers={"X-Forwarded-For": address})
            assert answer.status_code == status


@pytest.mark.parametrize(
    ("settings", "rate"),
    [
        ({}, 0),
        ({"host": "0.0.0.0"}, 600),  # noqa: S104 - that is the point
        ({"host": "0.0.0.0", "rate_per_minute": 0}, 0),  # noqa: S104
        ({"rate_per_minute": 5}, 5),
    ],
)
def test_there_is_a_rate_beyond_this_machine(settings: dict[str, Any], rate: int) -> None:
    assert Settings(data=Path("/"), **settings).requests_per_minute == rate


def test_a_bucket_fills_again() -> None:
    rates = Rates(60)
    assert [rates.wait_s("a", 0.0) for _ in range(60)] == [0.0] * 60
    assert rates.wait_s("a", 0.0) == pytest.approx(1.0)
    assert rates.wait_s("a", 1.0) == 0.0
    assert rates.wait_s("a", 1.5) == pytest.approx(0.5)
    assert rates.wait_s("b", 1.5) == 0.0


def test_processes_share_a_callers_rate(tmp_path: Path) -> None:
    one, other = (Rates(600, tmp_path / "rates") for _ in range(2))
    assert [rates.wait_s("a", 5.0) for rates in (one, other) * 300] == [0.0] * 600
    assert one.wait_s("a", 5.0) == other.wait_s("a", 5.0) == pytest.approx(0.1)
    assert one.wait_s("b", 5.0) == 0.0


def test_more_callers_than_places_forget_the_quiet_ones_first() -> None:
    rates = Rates(2)
    assert rates.wait_s("busy", 0.0) == rates.wait_s("busy", 0.0) == 0.0
    for number in range(40_000):
        rates.wait_s(f"passer-by {number}", 60.0)
        if number % 50 == 0:
            rates.wait_s("busy", 60.0)
    assert rates.wait_s("busy", 60.0) > 0.0


def test_the_page_loads_nothing_from_elsewhere(client: FlaskClient) -> None:
    page = client.get("/docs")
    assert page.content_type == "text/html; charset=utf-8"
    assert page.headers["Content-Security-Policy"] == docs.POLICY
    links = re.findall(r'(?:src|href)="([^"]+)"', page.get_data(as_text=True))
    assert "data:," in links
    for link in links:
        if link.startswith("data:"):
            continue
        assert link.startswith("/docs/")
        assert client.get(link).status_code == 200
    # No script stands in the page itself: the policy would not run it.
    assert not re.search(r"<script>|<script [^>]*>[^<]", page.get_data(as_text=True))
    assert client.get("/docs/VERSION").status_code == 404
    assert client.get("/docs/..%2fflask_swagger_ui.py").status_code == 404


def test_the_page_says_when_its_files_are_not_installed(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(docs, "_folder", lambda: None)
    answer = client.get("/docs")
    assert answer.status_code == 404
    assert "flask-swagger-ui" in answer.get_json()["detail"]


def test_it_is_ready_only_when_kits_can_be_kept(own: Callable[..., Flask]) -> None:
    app = own()
    client = app.test_client()
    assert client.get("/readyz").status_code == 200
    store = app.extensions["quarterseam-store"]()
    with store.engine.begin() as connection:
        connection.execute(text("DROP TABLE kits"))
    refused = client.get("/readyz")
    assert refused.status_code == 503
    assert refused.headers["Retry-After"]
    assert client.get("/healthz").status_code == 200


def test_a_queue_that_is_away_is_reported_and_does_not_stop_requests(
    own: Callable[..., Flask], small_kit: dict[str, Any]
) -> None:
    pytest.importorskip("redis", reason="redis is not installed")
    with socket.create_server(("127.0.0.1", 0)) as gone:
        port = gone.getsockname()[1]
    client = own(queue=f"redis://127.0.0.1:{port}/0").test_client()
    ready = client.get("/readyz")
    assert ready.status_code == 200
    payload = ready.get_json()
    assert (payload["database"], payload["files"], payload["queue"]) == ("ok", "ok", "unreachable")
    assert any("queue does not answer" in each for each in payload["warnings"])
    assert _figure(client, "quarterseam_queue_up") == 0
    # What does not need it goes on, and a job is stored for later.
    assert client.post("/v1/kits", json=small_kit).status_code == 201
    job = client.post("/v1/kits", json=small_kit, headers={"Prefer": "respond-async"})
    assert (job.status_code, job.get_json()["state"]) == (202, "queued")


def test_a_queue_that_answers_is_measured(
    own: Callable[..., Flask], small_kit: dict[str, Any]
) -> None:
    client = own().test_client()
    assert client.get("/readyz").get_json()["queue"] == "ok"
    assert _figure(client, "quarterseam_queue_up") == 1
    assert _figure(client, "quarterseam_queue_messages") == 0
    client.post("/v1/kits", json=small_kit, headers={"Prefer": "respond-async"})
    assert _figure(client, "quarterseam_queue_messages") == 1


def test_a_queue_that_says_nothing_is_not_waited_for() -> None:
    pytest.importorskip("redis", reason="redis is not installed")
    # It accepts connections and never answers.
    with socket.create_server(("127.0.0.1", 0)) as silent:
        port = silent.getsockname()[1]
        probe = QueueProbe(Settings(data=Path("/"), queue=f"redis://127.0.0.1:{port}/0"))
        assert probe.size(patience_s=0.2) is None
        before = threading.active_count()
        assert [probe.size(patience_s=0.05) for _ in range(5)] == [None] * 5
        # It is asked once at a time, however often it is asked for.
        assert threading.active_count() == before
