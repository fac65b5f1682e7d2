"""Requests that wait for a computation are answered in the end, and hold nobody else up."""

from __future__ import annotations

import json
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from service.answers.pieces import OutlinesAnswer
from service.app import create_app
from service.sandbox import child
from service.settings import Settings

CLIENTS = 12
BODY = {"pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "1 in"}}]}
_LONG_S = 120.0


def test_a_dozen_wait_for_one_place_while_others_are_answered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on, begun = threading.Event(), threading.Event()

    def run(*_: object, **__: object) -> OutlinesAnswer:
        begun.set()
        assert go_on.wait(_LONG_S)
        return OutlinesAnswer(pieces=[], warnings=[])

    monkeypatch.setattr(child, "run", run)
    app = create_app(
        Settings(data=tmp_path, isolation="always", threads=1, max_running_computations=1)
    )
    limiter = app.extensions["quarterseam-limiter"]

    def ask(_: int) -> int:
        return app.test_client().post("/v1/outlines", json=BODY).status_code

    with ThreadPoolExecutor(CLIENTS) as pool:
        asked = [pool.submit(ask, number) for number in range(CLIENTS)]
        assert begun.wait(_LONG_S)
        # One request at a time is worked on, and those that wait for a child are not.
        assert app.test_client().get("/healthz").status_code == 200
        while limiter.waiting < CLIENTS - 1:
            assert not any(each.done() for each in asked)
        assert app.test_client().get("/v1/shapes").status_code == 200
        go_on.set()
        assert [each.result(_LONG_S) for each in asked] == [200] * CLIENTS
    app.extensions["quarterseam-store"]().close()


def test_long_bodies_wait_among_few(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[bool] = []

    def compute(*_: object, modest: bool, **__: object) -> OutlinesAnswer:
        seen.append(modest)
        return OutlinesAnswer(pieces=[], warnings=[])

    monkeypatch.setattr("service.sandbox.run.compute", compute)
    app = create_app(Settings(data=tmp_path, isolation="always"))
    client = app.test_client()
    for size in (0, 20_000):
        text = json.dumps(BODY).ljust(size)
        client.post("/v1/outlines", data=text, content_type="application/json")
    assert seen == [True, False]
    app.extensions["quarterseam-store"]().close()
