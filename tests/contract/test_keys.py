"""Keys that expire, that get another secret, and that show when they were last used."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import event, update

from service.app import create_app
from service.cli import main
from service.settings import Settings
from service.storage.store import Store
from service.storage.tables import KEYS

DAY_US = 86_400 * 1_000_000


@pytest.fixture
def app(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Flask]:
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path))
    made = create_app(Settings(data=tmp_path, auth="on"))
    yield made
    _store(made).close()


def _store(app: Flask) -> Store:
    return app.extensions["quarterseam-store"]()  # type: ignore[no-any-return]


def _status(app: Flask, key: str) -> int:
    headers = {"Authorization": f"Bearer {key}"}
    return app.test_client().get("/v1/kits", headers=headers).status_code


def _made(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["keys", *words]) == 0
    return capsys.readouterr().out.strip()


def _change(app: Flask, key: str, **values: Any) -> None:
    with _store(app).engine.begin() as connection:
        connection.execute(
            update(KEYS).where(KEYS.c.id == key.split(".", maxsplit=1)[0]).values(**values)
        )


def test_a_key_expires(app: Flask, capsys: pytest.CaptureFixture[str]) -> None:
    key = _made(capsys, "add", "market day", "--scope", "write", "--days", "2")
    assert _status(app, key) == 200
    (listed,) = _store(app).keys.all()
    assert listed.expires_us == pytest.approx(listed.created_us + 2 * DAY_US, abs=60_000_000)
    assert "expires" in _made(capsys, "list")
    _change(app, key, expires_us=time.time_ns() // 1000 - 1)
    answer = app.test_client().get("/v1/kits", headers={"Authorization": f"Bearer {key}"})
    assert answer.status_code == 401
    assert "has expired" in answer.get_json()["detail"]
    assert "expired  " in _made(capsys, "list")
    # It can be given more time, with another secret.
    again = _made(capsys, "rotate", key.split(".")[0], "--days", "30")
    assert (_status(app, key), _status(app, again)) == (401, 200)


def test_a_key_gets_another_secret_and_keeps_what_it_made(
    app: Flask, capsys: pytest.CaptureFixture[str], small_kit: dict[str, Any]
) -> None:
    old = _made(capsys, "add", "bench", "--scope", "write")
    key_id = old.split(".")[0]

    def headers(key: str) -> dict[str, str]:
        return {"Authorization": f"Bearer {key}"}

    client = app.test_client()
    link = client.post("/v1/kits", json=small_kit, headers=headers(old)).headers["Location"]
    new = _made(capsys, "rotate", key_id, "--keep-hours", "24")
    assert new.startswith(f"{key_id}.")
    assert new != old
    # Both hold for a day, so that nothing stops while the new one is spread.
    for key in (old, new):
        assert client.get(link, headers=headers(key)).status_code == 200
    _change(app, old, old_until_us=time.time_ns() // 1000 - 1)
    assert (_status(app, old), _status(app, new)) == (401, 200)
    newest = _made(capsys, "rotate", key_id)
    assert [_status(app, key) for key in (old, new, newest)] == [401, 401, 200]
    assert client.get(link, headers=headers(newest)).status_code == 200
    # Neither secret stands anywhere; a revoked key gets no other.
    _store(app).close()
    for path in app.config["SETTINGS"].data.rglob("*"):
        for key in (old, new, newest):
            assert not path.is_file() or key.split(".")[1].encode() not in path.read_bytes()
    assert main(["keys", "revoke", key_id]) == 0
    assert _status(app, newest) == 401
    assert main(["keys", "rotate", key_id]) == 2
    assert main(["keys", "rotate", "nobody"]) == 2


def test_half_of_an_old_secret_opens_nothing(
    app: Flask, capsys: pytest.CaptureFixture[str]
) -> None:
    old = _made(capsys, "add", "bench")
    key_id, _, secret = old.partition(".")
    _made(capsys, "rotate", key_id, "--keep-hours", "1")
    # Nor the hash that stands in the place of a secret that is not there.
    for wrong in (secret[:-1], secret + "x", ""):
        assert _status(app, f"{key_id}.{wrong}") == 401
    _made(capsys, "rotate", key_id)
    assert _status(app, f"{key_id}.") == 401


def test_the_last_use_is_shown_to_the_minute(
    app: Flask, capsys: pytest.CaptureFixture[str]
) -> None:
    key = _made(capsys, "add", "bench")
    assert "never used" in _made(capsys, "list")
    written: list[str] = []

    def seen(_: Any, __: Any, statement: str, *___: Any) -> None:
        if statement.startswith("UPDATE keys"):
            written.append(statement)

    event.listen(_store(app).engine, "before_cursor_execute", seen)
    before = time.time_ns() // 1000
    assert {_status(app, key) for _ in range(5)} == {200}
    (listed,) = _store(app).keys.all()
    assert listed.last_used_us is not None
    assert before <= listed.last_used_us <= time.time_ns() // 1000
    # Reading writes at most once a minute.
    assert len(written) == 1
    assert "never used" not in _made(capsys, "list")
    _change(app, key, last_used_us=before - 61_000_000)
    written.clear()
    assert _status(app, key) == 200
    assert len(written) == 1
    # A refused key is not one that was used.
    _change(app, key, last_used_us=5)
    assert _status(app, key + "x") == 401
    assert _store(app).keys.all()[0].last_used_us == 5


def test_a_writer_that_takes_long_keeps_nobody_from_reading(app: Flask, tmp_path: Path) -> None:
    """SQLite has one writer at a time: the note of a key's use waits for none."""
    key = _store(app).keys.add("bench", "read")
    with closing(sqlite3.connect(tmp_path / "quarterseam.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert _status(app, key) == 200
        assert _store(app).keys.all()[0].last_used_us is None
        other.execute("ROLLBACK")
    with _store(app).engine.connect() as connection:
        # What waits for a writer waits as long as before.
        assert connection.exec_driver_sql("PRAGMA busy_timeout").scalar_one() == 30_000
    assert _status(app, key) == 200
    assert _store(app).keys.all()[0].last_used_us is not None


@pytest.mark.parametrize(
    "words",
    [
        ["add", "x", "--days", "0"],
        ["add", "x", "--days", "two"],
        ["add", "x", "--days", "99999"],
        ["rotate", "x", "--keep-hours", "-1"],
    ],
)
def test_times_that_cannot_be_used_are_refused(app: Flask, words: list[str]) -> None:
    with pytest.raises(SystemExit):
        main(["keys", *words])
    assert _store(app).keys.all() == []
