"""Times are UTC with their offset, whatever the time zone of the machine (RFC 3339, 4.1)."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import orjson
import pytest

from service.app import create_app
from service.cli import main
from service.settings import Settings
from service.tracing.json_lines import JsonFormatter

#: Five hours and three quarters ahead of UTC, all year.
ZONE = "Asia/Kathmandu"


@pytest.fixture
def far_away(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", ZONE)
    time.tzset()
    assert time.strftime("%z") == "+0545"
    yield
    monkeypatch.undo()
    time.tzset()


def _is_now(text: str) -> bool:
    """Return whether a time states its offset from UTC, which is none, and is now."""
    found = datetime.fromisoformat(text)
    assert found.utcoffset() == timedelta(0), text
    assert text.endswith("+00:00")
    return abs(datetime.now(UTC) - found) < timedelta(hours=1)


@pytest.mark.usefixtures("far_away")
def test_times_in_answers_logs_and_lists_are_utc(
    tmp_path: Path,
    small_kit: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    caplog: pytest.LogCaptureFixture,
) -> None:
    app = create_app(Settings(data=tmp_path, compute_seconds=600))
    client = app.test_client()
    with caplog.at_level(logging.INFO):
        kit = client.post("/v1/kits", json=small_kit).get_json()
    asynchronous = {"Prefer": "respond-async"}
    job = client.post("/v1/kits", json=small_kit, headers=asynchronous).get_json()
    batch = client.post("/v1/batches", json={"requests": [small_kit]}).get_json()
    listed = client.get("/v1/kits").get_json()["kits"][0]
    for answer in (kit, job, batch, listed):
        assert _is_now(answer["created_at"])
    assert _is_now(orjson.loads(JsonFormatter().format(caplog.records[-1]))["time"])
    # A day that a list is searched by is one of UTC.
    today = datetime.now(UTC).date()
    found = [
        len(client.get(f"/v1/kits?created_from={day}&created_until={day}").get_json()["kits"])
        for day in (today - timedelta(days=1), today, today + timedelta(days=1))
    ]
    assert sum(found) == 1
    assert found[2] == 0
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path))
    assert main(["keys", "add", "bench"]) == 0
    capsys.readouterr()
    assert main(["keys", "list"]) == 0
    made = next(word for word in capsys.readouterr().out.split() if "T" in word and ":" in word)
    assert _is_now(made)
    app.extensions["quarterseam-store"]().close()


@pytest.mark.usefixtures("far_away")
def test_nothing_that_is_made_depends_on_the_time_zone(
    tmp_path: Path, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same request gives the same zip in every zone; only its kit's own id and time differ."""
    app = create_app(Settings(data=tmp_path, compute_seconds=600))
    client, headers = app.test_client(), {"Accept": "application/zip"}
    there = client.post("/v1/kits", json=small_kit, headers=headers).data
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    here = client.post("/v1/kits", json=small_kit, headers=headers).data
    assert here == there
    app.extensions["quarterseam-store"]().close()
