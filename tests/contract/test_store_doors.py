"""Cutters under races, who may read the data folder, quotas, time limits, moving a store."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.cli import main
from service.settings import Settings
from service.storage.engines import open_engine
from service.storage.folder_files import FolderFiles
from service.storage.identity import WrongStoreError
from service.storage.named_documents import Expected, NamedDocuments, VersionConflictError
from service.storage.permissions import NotOursError
from service.storage.results import Results
from service.storage.store import Store

ROUNDS = 40


def test_a_conditional_delete_never_takes_a_change_with_it(tmp_path: Path) -> None:
    """Of a deletion and a change that expect the same version, one alone succeeds."""
    store = Store(Settings(data=tmp_path))
    cutters = store.cutters
    for turn in range(ROUNDS):
        name = f"laser-{turn}"
        version = cutters.put(name, {"turn": 0}).version
        expected = Expected(frozenset({version}))
        barrier = threading.Barrier(2)

        def change(name: str, expected: Expected, barrier: threading.Barrier) -> bool:
            barrier.wait()
            try:
                cutters.put(name, {"turn": 1}, expected=expected)
            except VersionConflictError:
                return False
            return True

        def delete(name: str, expected: Expected, barrier: threading.Barrier) -> bool:
            barrier.wait()
            try:
                return cutters.delete(name, expected=expected)
            except VersionConflictError:
                return False

        with ThreadPoolExecutor(2) as pool:
            parts = [pool.submit(each, name, expected, barrier) for each in (change, delete)]
            changed, deleted = (part.result() for part in parts)
        assert changed != deleted
        assert (cutters.get(name) is not None) == changed
    store.close()


def test_a_delete_between_a_look_and_a_delete_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The very race, made certain: another changes the cutter as soon as it was looked at."""
    store = Store(Settings(data=tmp_path))
    store.cutters.put("laser", {"turn": 0})
    look = NamedDocuments.get

    def looked_at(self: NamedDocuments, name: str) -> Any:
        found = look(self, name)
        monkeypatch.setattr(NamedDocuments, "get", look)
        self.put(name, {"turn": 1})
        return found

    monkeypatch.setattr(NamedDocuments, "get", looked_at)
    assert store.cutters.delete("laser", expected=Expected(frozenset({1})))
    # It looked at nothing before deleting: there was nothing to change in between.
    assert look(store.cutters, "laser") is None
    store.close()


def test_conditions_on_cutters(client: FlaskClient) -> None:
    body = client.get("/v1/cutters/laser-bed").get_json()["cutter"]
    address = "/v1/cutters/conditions"

    def put(**headers: str) -> int:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return client.put(address, json=body, headers=named).status_code

    assert put(If_Match="*") == 412
    assert put(If_None_Match="*") == 201
    assert put(If_None_Match="*") == 412
    assert put(If_Match='"1"') == 200
    assert put(If_Match='"1"') == 412
    assert put(If_Match='"1", "2"') == 200
    assert put(If_Match="*") == 200
    assert put() == 200
    assert put(If_Match='"99999999999999999999999"') == 412
    assert client.delete(address, headers={"If-Match": '"1"'}).status_code == 412
    assert client.delete(address, headers={"If-Match": '"5"'}).status_code == 204
    assert client.delete(address, headers={"If-Match": "*"}).status_code == 404


def test_the_data_folder_is_its_owner_s_alone(tmp_path: Path, small_kit: dict[str, Any]) -> None:
    data = tmp_path / "deep" / "data"
    app = create_app(Settings(data=data))
    assert app.test_client().post("/v1/kits", json=small_kit).status_code == 201
    later = {"Prefer": "respond-async"}
    assert app.test_client().post("/v1/kits", json=small_kit, headers=later).status_code == 202
    assert stat.S_IMODE(data.stat().st_mode) == 0o700
    assert (data / "queue.sqlite").exists()
    found = [path for path in data.rglob("*") if path.is_file()]
    assert {".reserve", "identity", "quarterseam.sqlite"} <= {path.name for path in found}
    for path in found:
        assert stat.S_IMODE(path.stat().st_mode) == 0o600, path
    _close(app)
    # One that was opened to others is shut at the next start.
    data.chmod(0o755)
    (data / "quarterseam.sqlite").chmod(0o644)
    Store(Settings(data=data)).close()
    assert stat.S_IMODE(data.stat().st_mode) == 0o700
    assert stat.S_IMODE((data / "quarterseam.sqlite").stat().st_mode) == 0o600


def test_a_folder_that_is_not_ours_alone_is_left_as_it_is(tmp_path: Path) -> None:
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o755)
    (shared / "letters.txt").touch()
    Store(Settings(data=shared)).close()
    assert stat.S_IMODE(shared.stat().st_mode) == 0o755


def _close(app: Flask) -> None:
    app.extensions["quarterseam-store"]().close()


def test_a_wrong_owner_is_told_with_uid_path_and_remedy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)
    monkeypatch.setattr(os, "geteuid", lambda: 10001)
    monkeypatch.setattr(os, "getegid", lambda: 10001)
    with pytest.raises(NotOursError) as refused:
        Store(Settings(data=tmp_path))
    result = str(refused.value)
    assert f"{tmp_path} belongs to uid {tmp_path.stat().st_uid}" in result
    assert "runs as uid 10001" in result
    assert f"chown -R 10001:10001 {tmp_path}" in result


@pytest.mark.skipif(os.getuid() != 0, reason="only root can run a command as another user")
@pytest.mark.parametrize("is_there", [True, False])
def test_a_command_run_by_another_user_says_whose_the_folder_is(
    tmp_path: Path, *, is_there: bool
) -> None:
    """Nobody is asked to take the folder around a missing data folder from its owner."""
    data = tmp_path / "data"
    if is_there:
        Store(Settings(data=data)).close()
    # The folders of pytest and of Python itself may be shut to others: what is needed is loaded
    # before, and the data folder's parents are opened.
    for each in (tmp_path, *tmp_path.parents):
        if each.name.startswith(("pytest", "popen")) or each == tmp_path:
            each.chmod(0o755)
    script = (
        "import os, sys\n"
        "import service.cli.keys, service.storage.store\n"
        "import sqlalchemy.dialects.sqlite\n"
        "from service.cli import main\n"
        "os.setgroups([]); os.setgid(65534); os.setuid(65534)\n"
        "sys.exit(main(['keys', 'list']))\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "QUARTERSEAM_DATA": str(data)},
        capture_output=True, text=True, check=False, timeout=600,
    )  # fmt: skip
    assert ran.returncode == 2, ran.stderr
    assert "runs as uid 65534" in ran.stderr
    if is_there:
        assert f"{data} belongs to uid 0 (mode 0700)" in ran.stderr
        assert f"chown -R 65534:65534 {data}." in ran.stderr
    else:
        assert f"{data} cannot be made: {tmp_path} belongs to uid 0 (mode 0755)" in ran.stderr
        assert f"install -d -o 65534 -g 65534 -m 0700 {data}." in ran.stderr
        assert "chown" not in ran.stderr


def test_a_second_store_of_a_process_leaves_the_locks_of_the_first(tmp_path: Path) -> None:
    """Without them the next process to leave removes the journal that the first still uses."""
    first = Store(Settings(data=tmp_path))
    with first.engine.connect() as held:
        held.exec_driver_sql("SELECT count(*) FROM kits").all()
        first.cutters.put("laser", {"turn": 0})
        Store(Settings(data=tmp_path)).close()
        script = (
            "import sqlite3, sys\n"
            "with sqlite3.connect(sys.argv[1]) as database:\n"
            '    database.execute("UPDATE cutters SET version = 7")\n'
            "database.close()\n"
        )
        command = [sys.executable, "-c", script, str(tmp_path / "quarterseam.sqlite")]
        subprocess.run(command, check=True, timeout=600)
        assert (tmp_path / "quarterseam.sqlite-wal").exists()
    first.close()


def test_results_keep_within_their_quota(tmp_path: Path) -> None:
    results = Results(FolderFiles(tmp_path), quota=1000)
    for number in range(20):
        results.save(f"{number:02d}-job", b"x" * 300)
        os.utime(tmp_path / f"results/{number:02d}/{number:02d}-job.json", (number, number))
        assert sum(path.stat().st_size for path in tmp_path.rglob("*.json")) <= 1000
    assert results.get("19-job") == b"x" * 300
    assert results.get("00-job") is None
    with pytest.raises(OSError, match="quota"):
        results.save("too-large", b"x" * 1001)


def test_a_result_that_made_room_for_others_is_told(
    tmp_path: Path, small_kit: dict[str, Any], do_jobs: Any
) -> None:
    app = create_app(Settings(data=tmp_path))
    client = app.test_client()
    asked = client.post("/v1/layouts", json=small_kit, headers={"Prefer": "respond-async"})
    link = asked.headers["Location"]
    assert do_jobs(app) == 1
    assert client.get(f"{link}/result").status_code == 200
    app.extensions["quarterseam-store"]().results.delete(link.rpartition("/")[2])
    gone = client.get(f"{link}/result")
    assert gone.status_code == 404
    assert "was deleted" in gone.get_json()["detail"]
    _close(app)


def test_postgresql_is_asked_with_time_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("psycopg")
    seen: dict[str, Any] = {}

    def connect(*_: Any, **options: Any) -> Any:
        seen.update(options)
        raise OSError

    monkeypatch.setattr("psycopg.connect", connect)
    engine = open_engine("postgresql+psycopg://x@127.0.0.1/y", connect_s=3, statement_s=7)
    with pytest.raises(OSError):  # noqa: PT011 - the stand-in's own
        engine.connect()
    assert seen["connect_timeout"] == 3
    assert "statement_timeout=7000" in seen["options"]


def test_move_copies_every_row_and_retires_the_source(
    tmp_path: Path,
    small_kit: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    data = tmp_path / "data"
    app = create_app(Settings(data=data))
    client = app.test_client()
    link = client.post("/v1/kits", json=small_kit).headers["Location"]
    body = client.get("/v1/cutters/laser-bed").get_json()["cutter"]
    assert client.put("/v1/cutters/harbour", json=body).status_code == 201
    assert client.post("/v1/kits", json=small_kit, headers={"Prefer": "respond-async"}).status_code
    answer, archive = client.get(link).data, client.get(link, headers={"Accept": "application/zip"})
    _close(app)
    url = f"sqlite:///{tmp_path / 'elsewhere.sqlite'}"
    monkeypatch.setenv("QUARTERSEAM_DATA", str(data))
    assert main(["move"]) == 2
    assert "Set QUARTERSEAM_DATABASE" in capsys.readouterr().err
    monkeypatch.setenv("QUARTERSEAM_DATABASE", url)
    assert main(["move"]) == 0
    assert "1 kits" in capsys.readouterr().out
    moved = create_app(Settings(data=data, database=url))
    assert moved.test_client().get(link).data == answer
    zipped = moved.test_client().get(link, headers={"Accept": "application/zip"})
    assert zipped.data == archive.data
    assert moved.test_client().get("/v1/cutters/harbour").status_code == 200
    assert len(moved.test_client().get("/v1/jobs").get_json()["jobs"]) == 1
    _close(moved)
    with pytest.raises(WrongStoreError, match="was moved to another database"):
        Store(Settings(data=data))
    # A second time there is nothing to move, and nothing is written twice.
    assert main(["move"]) == 2
