"""Stores that do not belong together, kits that no row lists, and taking them back."""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service.app import create_app
from service.cli import main
from service.settings import Settings
from service.storage.identity import WrongStoreError
from service.storage.notes import Note, with_note, without_note
from service.storage.rebuild import NoKitError, rebuilt
from service.storage.store import Store
from service.storage.sweep import Report
from tests.fixtures.kept_data import unpack

FIXTURES = Path(__file__).resolve().parents[1] / "fixtures"
HOUR_S = 3600.0
ZIP = {"Accept": "application/zip"}


@pytest.fixture
def settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    data = tmp_path / "data"
    monkeypatch.setenv("QUARTERSEAM_DATA", str(data))
    return Settings(data=data)


@pytest.fixture
def opened(settings: Settings) -> Iterator[Callable[[], Flask]]:
    """Opens an application on the data folder; a second one lets go of the first."""
    apps: list[Flask] = []

    def close() -> None:
        while apps:
            apps.pop().extensions["quarterseam-store"]().close()

    def make() -> Flask:
        close()
        apps.append(create_app(settings))
        return apps[-1]

    yield make
    close()


def _store(app: Flask) -> Store:
    return app.extensions["quarterseam-store"]()  # type: ignore[no-any-return]


def _close(app: Flask) -> None:
    _store(app).close()


def _made(app: Flask, body: dict[str, Any], many: int) -> dict[str, tuple[bytes, bytes]]:
    """Make so many kits, the last of them a recut; return what was sent of each."""
    client, found = app.test_client(), {}
    for number in range(many):
        answer = client.post("/v1/kits", json={**body, "title": f"Pier {number}"})
        found[answer.headers["Location"]] = answer.data
    link = next(iter(found))
    recut = client.post(f"{link}/recuts", json={"run": _first_run(app), "pieces": {"A": 1}})
    assert recut.status_code == 201, recut.text
    found[recut.headers["Location"]] = recut.data
    return {
        link: (data, client.get(link, headers=ZIP).data) for link, data in sorted(found.items())
    }


def _first_run(app: Flask) -> int:
    """Return the number of a kit's first run: the schema says from where runs are counted."""
    schema = app.test_client().get("/openapi.json").get_json()["components"]["schemas"]
    return int(schema["RecutRequest"]["properties"]["run"].get("minimum", 0))


def _check(app: Flask, kits: dict[str, tuple[bytes, bytes]]) -> None:
    client = app.test_client()
    for link, (answer, archive) in kits.items():
        assert client.get(link).data == answer
        assert client.get(link, headers=ZIP).data == archive


def _age(data: Path, seconds: float = 2 * HOUR_S) -> None:
    for path in data.rglob("*.zip"):
        then = path.stat().st_mtime - seconds
        os.utime(path, (then, then))


def _replace_database(data: Path, other: Path | None) -> None:
    for path in data.glob("quarterseam.sqlite*"):
        path.unlink()
    if other is not None:
        shutil.copy(other, data / "quarterseam.sqlite")


def _copy_database(data: Path, to: Path) -> None:
    source, target = sqlite3.connect(data / "quarterseam.sqlite"), sqlite3.connect(to)
    with source, target:
        source.backup(target)
    source.close()
    target.close()


def _warnings(app: Flask) -> list[str]:
    answer = app.test_client().get("/readyz")
    assert answer.status_code == 200, answer.text
    return [each for each in answer.get_json()["warnings"] if "MiB left" not in each]


def _figure(app: Flask, name: str) -> float:
    lines = app.test_client().get("/metrics").text.splitlines()
    return next(float(line.split()[1]) for line in lines if line.startswith(f"{name} "))


def test_an_empty_database_in_the_place_of_the_right_one_is_refused(
    opened: Callable[[], Flask],
    settings: Settings,
    small_kit: dict[str, Any],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    app = opened()
    kits = _made(app, small_kit, 2)
    _copy_database(settings.data, tmp_path / "right.sqlite")
    _close(app)
    _replace_database(settings.data, None)
    with pytest.raises(WrongStoreError, match="do not belong together"):
        Store(settings)
    assert main(["serve", "--check-config"]) == 2
    output = capsys.readouterr().err
    assert "python -m service import" in output
    assert str(settings.data) in output
    assert len(list(settings.data.rglob("*.zip"))) == 3
    _replace_database(settings.data, tmp_path / "right.sqlite")
    _check(opened(), kits)


def test_another_store_s_database_is_refused(
    settings: Settings, tmp_path: Path, opened: Callable[[], Flask]
) -> None:
    _close(opened())
    other = Settings(data=tmp_path / "other")
    Store(other).close()
    mixed = Settings(data=settings.data, database=other.database_url)
    with pytest.raises(WrongStoreError, match="The folder is of store"):
        Store(mixed)


def test_a_folder_without_the_kits_of_the_database_is_refused(
    settings: Settings, tmp_path: Path, opened: Callable[[], Flask], small_kit: dict[str, Any]
) -> None:
    app = opened()
    _made(app, small_kit, 1)
    _close(app)
    elsewhere = Settings(data=tmp_path / "unmounted", database=settings.database_url)
    with pytest.raises(WrongStoreError, match="holds none of them"):
        Store(elsewhere)


def test_a_data_folder_of_the_first_version_with_another_database_is_refused(
    settings: Settings, tmp_path: Path
) -> None:
    unpack("0.1.0", settings.data)
    url = f"sqlite:///{tmp_path / 'new.sqlite'}"
    with pytest.raises(WrongStoreError, match="lists none of them"):
        Store(Settings(data=settings.data, database=url))


def test_a_data_folder_of_the_first_version_is_served_byte_for_byte(
    settings: Settings, opened: Callable[[], Flask]
) -> None:
    unpack("0.1.0", settings.data)
    expected = json.loads((FIXTURES / "data-0.1.0.json").read_text())
    app = opened()
    client = app.test_client()

    def digest(link: str, **headers: str) -> str:
        answer = client.get(link, headers=headers)
        assert answer.status_code == 200, answer.text
        return hashlib.sha256(answer.data).hexdigest()

    for kit_id, known in expected["kits"].items():
        assert digest(f"/v1/kits/{kit_id}") == known["answer"]
        assert digest(f"/v1/kits/{kit_id}", **ZIP) == known["zip"]
    for name, known in expected["files"].items():
        kit_id, file = name.split("/")
        assert digest(f"/v1/kits/{kit_id}/files/{file}") == known
    assert client.get("/v1/cutters/harbour-laser").status_code == 200
    assert [key.name for key in _store(app).keys.all()] == ["bench"]
    _age(settings.data)
    report = _store(app).sweep()
    assert report is not None
    assert (report.set_aside, report.unlisted) == (0, 0)


def test_an_older_database_loses_no_kit_and_import_takes_all_back(
    opened: Callable[[], Flask],
    settings: Settings,
    small_kit: dict[str, Any],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    app = opened()
    before = _made(app, small_kit, 1)
    _copy_database(settings.data, tmp_path / "older.sqlite")
    kits = before | _made(app, small_kit, 3)
    _close(app)
    _replace_database(settings.data, tmp_path / "older.sqlite")
    _age(settings.data)
    app = opened()
    _check(app, before)
    report = _store(app).sweep()
    assert report == Report(set_aside=4)
    assert _figure(app, "quarterseam_lost_and_found_files") == 4
    assert any("lost-and-found" in each for each in _warnings(app))
    assert _store(app).sweep() == Report()
    assert main(["import"]) == 0
    assert "4 taken back" in capsys.readouterr().out
    _check(app, kits)
    assert _warnings(app) == []
    # Again: nothing is left to do.
    assert main(["import"]) == 0
    assert "0 taken back" in capsys.readouterr().out
    titles = [row.title for row in _store(app).kits.page(50)]
    assert len(titles) == len(kits)
    recuts = [row for row in _store(app).kits.page(50) if row.recut_of]
    assert len(recuts) == 2


def test_a_sweep_that_finds_more_than_a_few_refuses_and_says_so(
    opened: Callable[[], Flask],
    settings: Settings,
    small_kit: dict[str, Any],
    capsys: pytest.CaptureFixture[str],
) -> None:
    app = opened()
    kits = _made(app, small_kit, 1)
    folder = settings.data / "kits" / "ab"
    folder.mkdir(exist_ok=True)
    for number in range(settings.max_unlisted_files + 1):
        (folder / f"ab111111-1111-4111-8111-{number:012d}.zip").write_bytes(b"x")
    _age(settings.data)
    report = _store(app).sweep()
    assert report == Report(unlisted=settings.max_unlisted_files + 1, refused=True)
    assert len(list(folder.iterdir())) >= settings.max_unlisted_files + 1
    assert not (settings.data / "lost-and-found").exists()
    assert any("not listed in the database" in each for each in _warnings(app))
    assert _figure(app, "quarterseam_sweep_refused") == 1
    assert _figure(app, "quarterseam_unlisted_files") == settings.max_unlisted_files + 1
    assert main(["sweep"]) == 2
    assert "refused: True" in capsys.readouterr().out
    _check(app, kits)


def test_kits_return_from_the_lost_and_found_with_the_right_database(
    opened: Callable[[], Flask], settings: Settings, small_kit: dict[str, Any], tmp_path: Path
) -> None:
    app = opened()
    _store(app)
    _copy_database(settings.data, tmp_path / "older.sqlite")
    kits = _made(app, small_kit, 2)
    _copy_database(settings.data, tmp_path / "right.sqlite")
    _close(app)
    _age(settings.data)
    _replace_database(settings.data, tmp_path / "older.sqlite")
    # This database lists no kit; that it is of this store its id says.
    app = opened()
    assert _store(app).sweep() == Report(set_aside=3)
    _close(app)
    _replace_database(settings.data, tmp_path / "right.sqlite")
    app = opened()
    assert _store(app).sweep() == Report(returned=3)
    _check(app, kits)


def test_import_takes_zips_that_were_sent_and_those_of_another_store(
    opened: Callable[[], Flask],
    settings: Settings,
    small_kit: dict[str, Any],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    app = opened()
    kits = _made(app, small_kit, 1)
    _close(app)
    sent = tmp_path / "sent"
    sent.mkdir()
    for link, (_, archive) in kits.items():
        (sent / f"kit-{link.rpartition('/')[2]}.zip").write_bytes(archive)
    (sent / "no-kit.zip").write_bytes(b"PK not a zip")
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path / "new"))
    # From the other store's folder: to the last byte.
    assert main(["import", str(settings.data / "kits")]) == 0
    new = create_app(Settings(data=tmp_path / "new"))
    _check(new, kits)
    _close(new)
    # From what was sent: everything but the time, which such a zip does not hold.
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path / "third"))
    capsys.readouterr()
    assert main(["import", str(sent)]) == 2
    output = capsys.readouterr().out
    assert "2 taken back, 0 there already, 1 refused" in output
    assert "no-kit.zip: refused: it is not a whole zip" in output
    third = create_app(Settings(data=tmp_path / "third"))
    for link, (answer, archive) in kits.items():
        assert third.test_client().get(link, headers=ZIP).data == archive
        ours, theirs = json.loads(answer), third.test_client().get(link).get_json()
        for each in (ours, theirs):
            each.pop("created_at")
            each.pop("recut_of", None)
        assert ours == theirs
    _close(third)


def test_import_puts_a_missing_file_back(
    opened: Callable[[], Flask], settings: Settings, small_kit: dict[str, Any], tmp_path: Path
) -> None:
    app = opened()
    kits = _made(app, small_kit, 1)
    zipped = next(settings.data.glob("kits/*/*.zip"))
    shutil.move(zipped, tmp_path / zipped.name)
    assert main(["import", str(tmp_path / zipped.name)]) == 0
    _check(app, kits)


def test_an_interrupted_deletion_is_finished_and_leaves_nothing(
    opened: Callable[[], Flask],
    settings: Settings,
    small_kit: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    app = opened()
    link = next(iter(_made(app, small_kit, 1)))
    store = _store(app)

    def died(_: str) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(store.kits, "finish_deletion", died)
        with pytest.raises(KeyboardInterrupt):
            store.kits.delete(link.rpartition("/")[2])
    assert len(list(settings.data.glob("kits/*/*.zip"))) == 2
    _age(settings.data)
    assert store.sweep() == Report(removed=1)
    assert len(list(settings.data.glob("kits/*/*.zip"))) == 1
    assert not (settings.data / "lost-and-found").exists()


def _zip_of(**members: bytes) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name.replace("_", "."), data)
    return buffer.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"PK\x05\x06",
        _zip_of(),
        _zip_of(kit_json=b"{"),
        _zip_of(kit_json=b"[]"),
        _zip_of(kit_json=b"{}"),
        _zip_of(
            kit_json=b'{"title": 1, "version": 1, "pieces": 1, "runs": [1], "request": 1, '
            b'"cutters": 1}'
        ),
        _zip_of(
            kit_json=json.dumps(
                {
                    **dict.fromkeys(("title", "version", "pieces", "request", "cutters"), ""),
                    "runs": [{"loads": [{"files": [{"name": "a.svg", "sha256": "0"}]}]}],
                }
            ).encode()
        ),
        _zip_of(kit_json=b"x" * 5000)[:-30],
        _zip_of(kit_json=b"0" * 5000).replace(b"kit.json", b"kit.jso\x00"),
    ],
)
def test_what_is_no_kit_is_refused(data: bytes) -> None:
    with pytest.raises(NoKitError):
        rebuilt(data, "kit")


def test_a_note_comes_off_and_names_no_file_elsewhere() -> None:
    archive = _zip_of(kit_json=b"{}")
    note = Note("ab111111-1111-4111-8111-111111111111", 5, None, "0" * 64)
    kept = with_note(archive, note)
    assert without_note(kept) == (archive, note)
    assert without_note(archive) == (archive, None)
    # On disk it is a zip all the same.
    with zipfile.ZipFile(io.BytesIO(kept)) as inside:
        assert inside.testzip() is None
    crossed = with_note(archive, Note("../../etc/passwd", 5, None, ""))
    assert without_note(crossed) == (archive, None)
