"""What may wait: jobs and kits of batches together, by key and in all, and their effort."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service.app import create_app
from service.sandbox import child
from service.settings import Settings

ASYNC = {"Prefer": "respond-async"}
MakeApp = Callable[..., Flask]


@pytest.fixture
def make_app(tmp_path: Path) -> Iterator[MakeApp]:
    made: list[Flask] = []

    def make(**settings: Any) -> Flask:
        made.append(create_app(Settings(data=tmp_path / f"data-{len(made)}", **settings)))
        return made[-1]

    yield make
    for app in made:
        app.extensions["quarterseam-store"]().close()


def _key(app: Flask, scope: str) -> dict[str, str]:
    secret = app.extensions["quarterseam-store"]().keys.add(scope, scope)
    return {"Authorization": f"Bearer {secret}"}


def _batch(kit: dict[str, Any], count: int) -> dict[str, Any]:
    return {"requests": [kit] * count}


def test_kits_of_batches_wait_like_jobs(make_app: MakeApp, small_kit: dict[str, Any]) -> None:
    app = make_app(max_queued_jobs=3)
    client = app.test_client()
    assert client.post("/v1/batches", json=_batch(small_kit, 2)).status_code == 202
    too_many = client.post("/v1/batches", json=_batch(small_kit, 2))
    assert (too_many.status_code, too_many.headers["Retry-After"]) == (503, "60")
    assert too_many.get_json()["type"] == "/problems#busy"
    assert "At most 3 jobs may wait at once" in too_many.get_json()["detail"]
    assert len(client.get("/v1/batches").get_json()["batches"]) == 1
    assert client.post("/v1/kits", json=small_kit, headers=ASYNC).status_code == 202
    assert client.post("/v1/kits", json=small_kit, headers=ASYNC).status_code == 503
    # A cancelled job makes room.
    batch = client.get("/v1/batches").get_json()["batches"][0]
    client.delete(batch["href"])
    assert client.post("/v1/batches", json=_batch(small_kit, 2)).status_code == 202


def test_one_key_does_not_take_every_place(make_app: MakeApp, small_kit: dict[str, Any]) -> None:
    app = make_app(auth="on", max_queued_jobs=5, jobs_waiting_per_key=3)
    client = app.test_client()
    one, two = _key(app, "write"), _key(app, "write")
    assert client.post("/v1/batches", json=_batch(small_kit, 3), headers=one).status_code == 202
    refused = client.post("/v1/kits", json=small_kit, headers=one | ASYNC)
    assert refused.status_code == 503
    assert "At most 3 jobs of one key" in refused.get_json()["detail"]
    for _ in range(2):
        assert client.post("/v1/kits", json=small_kit, headers=two | ASYNC).status_code == 202
    assert (
        "At most 5 jobs may"
        in (client.post("/v1/kits", json=small_kit, headers=two | ASYNC).get_json()["detail"])
    )


def test_a_kilobyte_does_not_order_weeks_of_search(
    make_app: MakeApp, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is refused before the values of its kits are looked at, which takes seconds."""
    kit = copy.deepcopy(small_kit)
    kit["runs"][0]["effort"] = 600
    body = {
        "request": kit,
        "sizes": [{"side": f"{each} in"} for each in range(1, 61)],
        "shapes": [{"kind": "hexagon", "side": 1}] * 66,
    }
    client = make_app().test_client()
    with monkeypatch.context() as patch:
        patch.setattr("service.views.batches.compute", None)
        refused = client.post("/v1/batches", json=body)
    payload = refused.get_json()
    assert (refused.status_code, payload["type"]) == (422, "/problems#batch-too-large")
    assert (payload["count"], payload["most_effort_s"]) == (3960, 100_000)
    assert "2.376e+06 seconds" in payload["detail"]
    # As many kits of usual effort are what batches are for.
    del kit["runs"][0]["effort"]
    assert client.post("/v1/batches", json=body).status_code == 202


@pytest.mark.parametrize("effort", ["fast", [], {}, None, "600", True, -1])
def test_a_wrong_effort_of_many_kits_is_an_error_of_its_own(
    make_app: MakeApp, small_kit: dict[str, Any], effort: object
) -> None:
    small_kit["runs"][0]["effort"] = effort
    answer = make_app().test_client().post("/v1/batches", json=_batch(small_kit, 2))
    assert answer.status_code == 422
    assert answer.get_json()["type"] == "/problems#schema-mismatch"


def test_the_effort_that_waits_is_bounded_in_all(
    make_app: MakeApp, small_kit: dict[str, Any]
) -> None:
    client = make_app(effort_waiting_seconds=130).test_client()
    small_kit["runs"][0]["effort"] = "best"
    assert client.post("/v1/batches", json=_batch(small_kit, 2)).status_code == 202
    small_kit["runs"][0]["effort"] = 11
    refused = client.post("/v1/kits", json=small_kit, headers=ASYNC)
    assert refused.status_code == 503
    assert "130 seconds of search" in refused.get_json()["detail"]
    small_kit["runs"][0]["effort"] = 10
    assert client.post("/v1/layouts", json=small_kit, headers=ASYNC).status_code == 202


def test_who_started_a_job_may_cancel_it(make_app: MakeApp, small_kit: dict[str, Any]) -> None:
    app = make_app(auth="on", sharing="all")
    client = app.test_client()
    reader, other, writer = _key(app, "read"), _key(app, "read"), _key(app, "write")
    job = client.post("/v1/layouts", json=small_kit, headers=reader | ASYNC).get_json()
    refused = client.delete(job["href"], headers=other)
    assert (refused.status_code, refused.get_json()["type"]) == (403, "/problems#scope-too-small")
    assert client.get(job["href"], headers=other).get_json()["state"] == "queued"
    assert client.delete(job["href"], headers=reader).get_json()["state"] == "cancelled"
    another = client.post("/v1/kits", json=small_kit, headers=writer | ASYNC).get_json()
    assert client.delete(another["href"], headers=reader).status_code == 403
    assert client.delete(another["href"], headers=writer).get_json()["state"] == "cancelled"
    missing = "/v1/jobs/00000000-0000-4000-8000-000000000000"
    assert client.delete(missing, headers=reader).status_code == 404
    assert client.delete(missing).status_code == 401


def test_a_child_that_is_slow_to_end_takes_nothing_down(monkeypatch: pytest.MonkeyPatch) -> None:
    def close(_: object) -> None:
        raise ValueError("Cannot close a process while it is still running.")

    monkeypatch.setattr(child._CONTEXT.Process, "close", close)
    assert child.run(int, (), seconds=100.0, memory_bytes=1 << 30) == 0
