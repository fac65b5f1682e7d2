"""A child killed from outside says nothing about the request: it is tried again."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service.app import create_app
from service.jobs.runner import Runner
from service.sandbox import child
from service.settings import Settings
from service.storage.jobs import MAX_ATTEMPTS

ASYNC = {"Prefer": "respond-async"}


def _kill_itself() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def test_a_killed_child_is_told_from_one_that_wants_memory() -> None:
    with pytest.raises(child.StoppedError) as stopped:
        child.run(_kill_itself, (), seconds=60.0, memory_bytes=1 << 30)
    assert stopped.value.why == "killed"


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[Flask]:
    app = create_app(Settings(data=tmp_path / "data", isolation="always"))
    yield app
    app.extensions["quarterseam-store"]().close()


class _Kills:
    """In place of the child's process: dies so often, then does its task here."""

    def __init__(self, deaths: int) -> None:
        self.deaths, self.calls = deaths, 0

    def __call__(self, task: Any, arguments: Any, **_: Any) -> Any:
        self.calls += 1
        if self.calls <= self.deaths:
            raise child.StoppedError("killed")
        return task(*arguments)


def test_a_request_is_tried_again_once(
    fresh: Flask, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    kills = _Kills(1)
    monkeypatch.setattr(child, "run", kills)
    assert fresh.test_client().post("/v1/kits", json=small_kit).status_code == 201
    assert kills.calls == 2


def test_a_request_that_is_killed_again_says_so(
    fresh: Flask, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    kills = _Kills(9)
    monkeypatch.setattr(child, "run", kills)
    answer = fresh.test_client().post("/v1/kits", json=small_kit)
    assert kills.calls == 2
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "10")
    payload = answer.get_json()
    assert payload["type"] == "/problems#computation-stopped"
    assert "was stopped" in payload["detail"]
    assert "needs more" not in payload["detail"]


def _work_until_it_ends(app: Flask, href: str) -> dict[str, Any]:
    store = app.extensions["quarterseam-store"]()
    runner = Runner(store, app.config["SETTINGS"], threading.Event())
    for _ in range(2 * MAX_ATTEMPTS):
        work = store.jobs.claim(href.rpartition("/")[2])
        if work is None:
            break
        runner.run(work)
    return dict(app.test_client().get(href).get_json())


@pytest.mark.parametrize(("deaths", "state"), [(1, "succeeded"), (2, "succeeded"), (3, "failed")])
def test_a_job_is_tried_three_times(
    fresh: Flask,
    small_kit: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
    deaths: int,
    state: str,
) -> None:
    monkeypatch.setattr(child, "run", _Kills(deaths))
    job = fresh.test_client().post("/v1/kits", json=small_kit, headers=ASYNC).get_json()
    payload = _work_until_it_ends(fresh, job["href"])
    assert (payload["state"], payload["attempts"]) == (state, min(deaths + 1, MAX_ATTEMPTS))
    if state == "failed":
        assert payload["problem"]["type"] == "/problems#computation-stopped"


KEYED = ASYNC | {"Idempotency-Key": "preview-1"}


def test_the_same_key_gives_the_same_preview(fresh: Flask, small_kit: dict[str, Any]) -> None:
    client = fresh.test_client()
    first = client.post("/v1/layouts", json=small_kit, headers=KEYED)
    again = client.post("/v1/layouts", json=small_kit, headers=KEYED)
    assert (first.status_code, again.status_code) == (202, 202)
    assert first.headers["Location"] == again.headers["Location"]
    assert len(client.get("/v1/jobs").get_json()["jobs"]) == 1
    other = client.post("/v1/layouts", json=small_kit | {"title": "B"}, headers=KEYED)
    assert (other.status_code, other.get_json()["type"]) == (422, "/problems#key-reused")


def test_a_preview_that_is_awaited_creates_nothing_and_takes_no_key(
    fresh: Flask, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(child, "run", _Kills(0))
    client = fresh.test_client()
    plain = {"Idempotency-Key": "preview-1"}
    first = client.post("/v1/layouts", json=small_kit, headers=plain)
    job = client.post("/v1/layouts", json=small_kit, headers=KEYED)
    again = client.post("/v1/layouts", json=small_kit, headers=plain)
    assert (first.status_code, job.status_code, again.status_code) == (200, 202, 200)
    assert first.get_json() == again.get_json()
    _work_until_it_ends(fresh, job.get_json()["href"])
    result = client.get(job.get_json()["href"] + "/result")
    assert result.get_json() == first.get_json()
