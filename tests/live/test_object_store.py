"""Kits' files in an object store: a real one, OpenStack Swift with its S3 interface.

What both places for files do alike; servers and workers that share a database and a bucket but no
folder; the store killed and started again; moving there from one machine.
"""

from __future__ import annotations

import io
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requests

from service.cli import main
from service.settings import Settings
from service.storage.bucket_files import BucketFiles
from service.storage.files import Files
from service.storage.folder_files import FolderFiles
from service.storage.found_files import FilesUnreachableError
from service.storage.store import Store
from tests.live.conftest import Server
from tests.live.live_jobs import small_kit
from tests.live.swift_alone import Swift

obstore = pytest.importorskip("obstore", reason="obstore is not installed")

ZIP = {"Accept": "application/zip"}
ASYNC = {"Prefer": "respond-async"}
_WAIT_S = 600.0

pytestmark = pytest.mark.object_store


@pytest.fixture(params=["folder", "bucket"])
def files(request: pytest.FixtureRequest, tmp_path: Path) -> Files:
    if request.param == "folder":
        return FolderFiles(tmp_path)
    return BucketFiles(request.getfixturevalue("bucket"))


def test_both_places_do_the_same(files: Files) -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        archive.writestr("a.svg", b"first" * 1000)
        archive.writestr("b.svg", b"second" * 100_000)
    archived = data.getvalue()
    names = ["kits/ab/2.zip", "kits/ab/1.zip", "kits/cd/3.zip", "kits-not/ab/4.zip"]
    for name in names:
        files.write(name, b"draft")
        files.write(name, archived)
    assert files.read(names[0]) == archived
    with files.open(names[0]) as file, zipfile.ZipFile(file) as archive:
        assert archive.read("b.svg") == b"second" * 100_000
    with files.open(names[0]) as file:
        assert file.seek(-4, io.SEEK_END) == len(archived) - 4
        assert file.read() == archived[-4:]
        assert file.read(3) == b""
        file.seek(2)
        assert file.read(3) == archived[2:5]
    found = list(files.list("kits"))
    assert [each.name for each in found] == sorted(names[:3])
    assert {each.size for each in found} == {len(archived)}
    assert all(abs(files.now_s() - each.modified_s) < _WAIT_S for each in found)
    assert list(files.list("nothing")) == []
    files.move(names[0], "lost-and-found/2.zip")
    assert not files.exists(names[0])
    assert files.read("lost-and-found/2.zip") == archived
    files.delete(names[1])
    files.delete(names[1])
    for missing in (files.read, files.open, files.modified_s):
        with pytest.raises(FileNotFoundError):
            missing(names[1])
    with pytest.raises(FileNotFoundError):
        files.move(names[1], "kits/ab/5.zip")
    assert [each.name for each in files.list("kits")] == ["kits/cd/3.zip"]


def test_what_cannot_be_used_is_said(
    bucket: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    with pytest.raises(FilesUnreachableError, match="no bucket"):
        BucketFiles("s3://no-such-bucket").write("a", b"x")
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", "another-secret")
    with pytest.raises(FilesUnreachableError, match="cannot be used") as refused:
        BucketFiles(bucket).read("a")
    assert "another-secret" not in str(refused.value)
    # Credentials do not leave the machine in the clear unless that is asked for.
    monkeypatch.setenv("AWS_ALLOW_HTTP", "false")
    with pytest.raises(FilesUnreachableError):
        BucketFiles(bucket).read("a")
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("QUARTERSEAM_FILES", bucket)
    assert main(["serve", "--check-config"]) == 2


def _apart(
    make_server: Callable[..., Server], postgres: Any, bucket: str, swift: Swift, **more: Any
) -> Server:
    environment = {
        **swift.environment,
        "AWS_ALLOW_HTTP": "true",
        "QUARTERSEAM_DATABASE": postgres.url,
        "QUARTERSEAM_FILES": bucket,
        "QUARTERSEAM_JOB_SWEEP_SECONDS": "1",
        "QUARTERSEAM_JOB_LEASE_SECONDS": "5",
        "QUARTERSEAM_WORKERS": "1",
    }
    return make_server(**environment, **more)


def _ended(url: str, link: str) -> dict[str, Any]:
    until = time.monotonic() + _WAIT_S
    while time.monotonic() < until:
        job: dict[str, Any] = requests.get(f"{url}{link}", timeout=_WAIT_S).json()
        if job["state"] not in {"queued", "running"}:
            return job
        time.sleep(0.2)
    raise AssertionError(link)


def _files(url: str, link: str) -> tuple[bytes, bytes, bytes]:
    answers = [
        requests.get(f"{url}{link}", timeout=_WAIT_S),
        requests.get(f"{url}{link}", headers=ZIP, timeout=_WAIT_S),
        requests.get(f"{url}{link}/files/run-sheet.pdf", timeout=_WAIT_S),
    ]
    assert [each.status_code for each in answers] == [200, 200, 200], answers[1].text[:500]
    return answers[0].content, answers[1].content, answers[2].content


@pytest.mark.long
def test_machines_share_no_folder_and_the_store_may_be_killed(
    make_server: Callable[..., Server],
    postgres: Any,
    bucket: str,
    swift: Swift,
) -> None:
    serve = ("-m", "service", "serve", "--port", "{port}", "--no-worker")
    first = _apart(make_server, postgres, bucket, swift, command=serve)
    second = _apart(make_server, postgres, bucket, swift, command=serve)
    worker = _apart(
        make_server, postgres, bucket, swift, command=("-m", "service", "worker", "--slots", "1")
    )
    kit = requests.post(f"{first.url}/v1/kits", json=small_kit("Pier"), timeout=_WAIT_S)
    assert kit.status_code == 201, kit.text
    asked = requests.post(
        f"{first.url}/v1/kits", json=small_kit("By job"), headers=ASYNC, timeout=_WAIT_S
    )
    job = _ended(second.url, asked.headers["Location"])
    assert job["state"] == "succeeded", job
    links = [kit.headers["Location"], job["kit"]]
    seen = {link: _files(second.url, link) for link in links}
    asked = requests.post(
        f"{second.url}/v1/layouts", json=small_kit("Pier"), headers=ASYNC, timeout=_WAIT_S
    )
    preview = _ended(first.url, asked.headers["Location"])
    result = requests.get(f"{first.url}{preview['result']}", timeout=_WAIT_S)
    assert result.json()["runs"]
    for server in (first, second, worker):
        assert not (server.data / "kits").exists()
        assert not (server.data / "results").exists()

    swift.kill()
    for answer in (
        requests.get(f"{first.url}{links[0]}", headers=ZIP, timeout=_WAIT_S),
        requests.post(f"{second.url}/v1/kits", json=small_kit("Pier"), timeout=_WAIT_S),
        requests.get(f"{second.url}/readyz", timeout=_WAIT_S),
    ):
        assert answer.status_code == 503, answer.text
        assert answer.headers["Retry-After"]
        assert answer.json()["title"] == "Service unavailable"
    # What the database holds is still answered, and a job waits.
    assert requests.get(f"{first.url}{links[0]}", timeout=_WAIT_S).status_code == 200
    listed = requests.get(f"{first.url}/v1/kits", timeout=_WAIT_S).json()["kits"]
    assert {each["href"] for each in listed} == set(links)
    waiting = requests.post(
        f"{first.url}/v1/kits", json=small_kit("Waits"), headers=ASYNC, timeout=_WAIT_S
    )
    assert waiting.status_code == 202
    time.sleep(2)
    swift.start()
    job = _ended(second.url, waiting.headers["Location"])
    assert job["state"] == "succeeded", job
    first.kill()
    first.start()
    for link, bytes_of in seen.items():
        assert _files(first.url, link) == bytes_of
    _files(first.url, job["kit"])
    assert requests.delete(f"{first.url}{links[0]}", timeout=_WAIT_S).status_code == 204
    assert requests.get(f"{second.url}{links[0]}", timeout=_WAIT_S).status_code == 404
    names = [each.stem for each in BucketFiles(bucket).list("kits")]
    assert sorted(names) == sorted(link.rpartition("/")[2] for link in (links[1], job["kit"]))
    assert second.stop() == 0


@pytest.mark.long
def test_a_wrong_bucket_is_refused_and_nothing_changed(
    make_server: Callable[..., Server],
    postgres: Any,
    bucket: str,
    swift: Swift,
) -> None:
    server = _apart(make_server, postgres, bucket, swift)
    assert (
        requests.post(f"{server.url}/v1/kits", json=small_kit("Pier"), timeout=_WAIT_S).status_code
        == 201
    )
    server.stop()
    server.environment = {**server.environment, "QUARTERSEAM_FILES": f"{bucket}-other"}
    with pytest.raises(AssertionError, match="do not belong together"):
        server.start()
    assert list(BucketFiles(f"{bucket}-other").list("kits")) == []


def test_sweep_check_and_import_in_a_bucket(
    bucket: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from service.app import create_app
    from service.cli import check, import_kits

    settings = Settings(data=tmp_path / "data", files=bucket, compute_seconds=600)
    app = create_app(settings)
    client = app.test_client()
    links = [client.post("/v1/kits", json=small_kit("Pier")).headers["Location"] for _ in range(2)]
    archive = client.get(links[0], headers=ZIP).data
    store: Store = app.extensions["quarterseam-store"]()
    kit_id = links[0].rpartition("/")[2]
    name = store.kits.name(kit_id)
    kept = store.files.read(name)
    # Lost: named by the check; found again: put back by its own hash.
    store.files.move(name, f"lost-and-found/{kit_id}.zip")
    assert check._check(store, repair=False, backup=None) == 2
    assert f"missing: kit {kit_id}" in capsys.readouterr().out
    assert check._check(store, repair=True, backup=None) == 0
    assert client.get(links[0], headers=ZIP).data == archive
    # Unlisted: set aside once it is old, never deleted, and taken back.
    with store.engine.begin() as connection:
        from service.storage.kits import delete_rows

        delete_rows(connection, kit_id)
    report = store.sweep(now=time.time() + 7200)
    assert report is not None
    assert report.set_aside == 1
    assert store.files.read(f"lost-and-found/{kit_id}.zip") == kept
    assert import_kits._import(store, []) == 0
    assert client.get(links[0], headers=ZIP).data == archive
    assert store.lost_and_found.count() == 0
    store.close()


@pytest.mark.long
def test_links_open_files_of_a_bucket_from_every_server_and_end_with_its_secret(
    bucket: str, tmp_path: Path, swift: Swift
) -> None:
    """The service reads the file: a link leads to no object store, and tells nothing of one."""
    from service.app import create_app

    # Two servers, of which each has a folder of its own; here the database is a file.
    settings = [
        Settings(
            data=tmp_path / name, files=bucket, auth="on", compute_seconds=600,
            database=f"sqlite:///{tmp_path / 'both.sqlite'}",
        )
        for name in ("one", "two")
    ]  # fmt: skip
    apps = [create_app(each) for each in settings]
    stores: list[Store] = [app.extensions["quarterseam-store"]() for app in apps]
    one, two = (app.test_client() for app in apps)
    key = {"Authorization": f"Bearer {stores[0].keys.add('bench', 'write')}"}
    kit = one.post("/v1/kits", json=small_kit("Pier"), headers=key).headers["Location"]
    sheet = one.get(f"{kit}/files/run-sheet.pdf", headers=key).data
    body = {"file": "run-sheet.pdf"}
    href = one.post(f"{kit}/links", json=body, headers=key).get_json()["href"]
    assert href.startswith(f"{kit}/files/run-sheet.pdf?")
    for client in (one, two):
        opened = client.get(href)
        assert (opened.status_code, opened.data) == (200, sheet)
        assert "Location" not in opened.headers
        assert client.get(f"{href[:-4]}0000").status_code == 403
    # Made by the other server, with the same secret.
    other = two.post(f"{kit}/links", json=body, headers=key).get_json()["href"]
    assert one.get(other).data == sheet
    names = [each.name for each in stores[0].files.list("")]
    assert "link-secret" in names
    swift.kill()
    answer = two.get(href)
    assert answer.status_code == 503
    assert answer.headers["Retry-After"]
    assert "127.0.0.1" not in answer.get_json()["detail"]
    swift.start()
    assert two.get(href).data == sheet
    stores[0].files.delete("link-secret")
    assert two.get(href).status_code == 403
    again = one.post(f"{kit}/links", json=body, headers=key).get_json()["href"]
    assert two.get(again).data == sheet
    for store in stores:
        store.close()


@pytest.mark.long
def test_moving_from_one_machine_takes_the_files_along(
    make_server: Callable[..., Server],
    postgres: Any,
    bucket: str,
    swift: Swift,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    old = make_server(QUARTERSEAM_WORKERS="1")
    link = requests.post(f"{old.url}/v1/kits", json=small_kit("Pier"), timeout=_WAIT_S).headers[
        "Location"
    ]
    before = _files(old.url, link)
    old.stop()
    monkeypatch.setenv("QUARTERSEAM_DATA", str(old.data))
    monkeypatch.setenv("QUARTERSEAM_DATABASE", postgres.url)
    monkeypatch.setenv("QUARTERSEAM_FILES", bucket)
    assert main(["move"]) == 0
    assert f"Copied 2 files to {bucket}." in capsys.readouterr().out
    new = _apart(make_server, postgres, bucket, swift)
    assert new.data != old.data
    assert _files(new.url, link) == before
