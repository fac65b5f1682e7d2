"""The server answers first and sweeps later: no request waits for a sweep."""

from __future__ import annotations

import threading
import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from flask import Flask

from service.serving import server
from service.settings import Settings
from service.storage import store as stores
from service.storage import sweep


class _Ended(BaseException):
    """Ends the loop that would sweep for ever."""


def test_the_first_sweep_comes_well_after_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[Any] = []

    class Watched(stores.Store):
        def sweep(self, **how: Any) -> sweep.Report | None:
            done.append("sweep")
            return super().sweep(**how)

    def slept(seconds: float) -> None:
        done.append(seconds)
        if done.count("sweep"):
            raise _Ended

    monkeypatch.setattr(stores, "Store", Watched)
    monkeypatch.setattr(server, "time", SimpleNamespace(sleep=slept))
    with pytest.raises(_Ended):
        server._tidy(Settings(data=tmp_path / "data"))
    # Each process looks again now and then; the sweep itself is due once an hour.
    assert done == [15.0, "sweep", 300.0]


def test_requests_are_answered_while_a_sweep_goes_on(
    app: Flask, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sweep stands still in its middle until a kit was made, read and deleted beside it."""
    in_the_middle, go_on = threading.Event(), threading.Event()
    reports: list[sweep.Report | None] = []

    def pause(_: float) -> None:
        in_the_middle.set()
        assert go_on.wait(600)

    client = app.test_client()
    # It pauses after each step of a few hundred files: here one.
    assert client.post("/v1/kits", json=small_kit).status_code == 201
    store = app.extensions["quarterseam-store"]()
    # Only the sweep pauses: others sleep as they do.
    monkeypatch.setattr(sweep, "time", SimpleNamespace(sleep=pause, time=time.time))
    sweeping = threading.Thread(target=lambda: reports.append(store.sweep()))
    sweeping.start()
    assert in_the_middle.wait(600)
    made = client.post("/v1/kits", json=small_kit)
    assert made.status_code == 201
    assert client.get(made.headers["Location"]).status_code == 200
    assert client.delete(made.headers["Location"]).status_code == 204
    # Another one does not sweep beside it.
    assert store.sweep() is None
    go_on.set()
    sweeping.join(600)
    assert len(reports) == 1
    assert reports[0] is not None
