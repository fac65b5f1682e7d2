"""A volume that fills: kits are still read and deleted, a start says what is wrong."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import requests

from tests.live import live_jobs

MakeServer = Callable[..., Any]
pytestmark = pytest.mark.timeout(900)


@pytest.fixture
def volume() -> Iterator[Path]:
    """A file system of 3 MB, for the data folder and for temporary files.

    Its path is short: sockets of the fork server lie in it, and a socket's path has 107 letters.
    """
    folder = Path(tempfile.mkdtemp(prefix="full-"))
    mount = ["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", str(folder)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no file system can be mounted here")
    (folder / "tmp").mkdir()
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)
    folder.rmdir()


def _fill(volume: Path, but: int = 0) -> Path:
    """Fill a volume to the last byte, or nearly."""
    filler = volume / "filler"
    with filler.open("ab", buffering=0) as file, contextlib.suppress(OSError):
        while True:
            size = min(4096, shutil.disk_usage(volume).free - but)
            if size <= 0:
                break
            file.write(os.urandom(size))
    return filler


def _kits(server: Any, many: int) -> dict[str, bytes]:
    made = {}
    for number in range(many):
        body = live_jobs.small_kit(f"Jetty {number}")
        answer = requests.post(f"{server.url}/v1/kits", json=body, timeout=300)
        assert answer.status_code == 201, answer.text
        made[answer.headers["Location"]] = answer.content
    return made


def _check(server: Any, kits: dict[str, bytes]) -> None:
    for link, answer in kits.items():
        assert live_jobs.get(server.url + link).content == answer


def _unready(server: Any) -> str:
    answer = requests.get(f"{server.url}/readyz", timeout=300)
    assert answer.status_code == 503, answer.text
    return str(answer.json()["detail"])


def _wait_until_it_answers(server: Any) -> None:
    until = time.monotonic() + 600
    while True:
        assert server.process.poll() is None, server.log.read_text()[-4000:]
        with contextlib.suppress(requests.ConnectionError):
            if requests.get(f"{server.url}/healthz", timeout=300).status_code == 200:
                return
        assert time.monotonic() < until, server.log.read_text()[-4000:]
        time.sleep(0.1)


def _server(make_server: MakeServer, volume: Path) -> Any:
    server = make_server(QUARTERSEAM_DATA=str(volume / "data"), TMPDIR=str(volume / "tmp"))
    server.wait_until_ready = lambda: _wait_until_it_answers(server)
    return server


def test_kits_can_be_deleted_on_a_full_volume(make_server: MakeServer, volume: Path) -> None:
    server = _server(make_server, volume)
    kits = _kits(server, 8)
    filler = _fill(volume)
    refused = requests.post(f"{server.url}/v1/kits", json=live_jobs.small_kit("x"), timeout=300)
    assert refused.status_code == 503
    _check(server, kits)
    for link in list(kits)[:5]:
        gone = requests.delete(server.url + link, timeout=300)
        assert gone.status_code == 204, gone.text
        del kits[link]
        # What was freed is taken by somebody else at once.
        _fill(volume)
    _check(server, kits)
    filler.unlink()
    assert requests.get(f"{server.url}/readyz", timeout=300).status_code == 200
    kits |= _kits(server, 2)
    assert (volume / "data" / ".reserve").exists()
    _check(server, kits)
    assert server.stop() == 0


@pytest.mark.long
@pytest.mark.parametrize("how", ["stopped", "killed"])
def test_a_start_on_a_full_volume_serves_reads_and_deletes(
    make_server: MakeServer, volume: Path, how: str
) -> None:
    server = _server(make_server, volume)
    kits = _kits(server, 4)
    server.stop() if how == "stopped" else server.kill()
    filler = _fill(volume)
    server.start()
    _check(server, kits)
    assert "is full" in _unready(server)
    refused = requests.post(f"{server.url}/v1/kits", json=live_jobs.small_kit("x"), timeout=300)
    assert refused.status_code == 503
    link = next(iter(kits))
    assert requests.delete(server.url + link, timeout=300).status_code == 204
    del kits[link]
    # It is not started again and again: the same processes answer all the time.
    workers = server.log.read_text().count("Booting worker")
    for _ in range(5):
        _check(server, kits)
        time.sleep(0.5)
    log = server.log.read_text()
    assert log.count("Booting worker") == workers
    assert "SIGBUS" not in log
    assert "is full" in log
    filler.unlink()
    assert requests.get(f"{server.url}/readyz", timeout=300).status_code == 200
    _kits(server, 1)
    assert server.stop() == 0


@pytest.mark.long
def test_a_start_without_a_reserve_serves_reads(make_server: MakeServer, volume: Path) -> None:
    """As after an update of a version that kept none, on a volume that was full already."""
    server = _server(make_server, volume)
    kits = _kits(server, 3)
    server.stop()
    (volume / "data" / ".reserve").unlink()
    _fill(volume)
    server.start()
    _check(server, kits)
    assert "is full" in _unready(server)
    _check(server, kits)
    server.stop()


@pytest.mark.long
def test_readiness_warns_before_the_volume_is_full(make_server: MakeServer, volume: Path) -> None:
    server = _server(make_server, volume)
    response = requests.get(f"{server.url}/readyz", timeout=300)
    assert response.status_code == 200
    assert "MiB left" in response.json()["warnings"][0]
    figures = requests.get(f"{server.url}/metrics", timeout=300).text
    free = next(line for line in figures.splitlines() if line.startswith("quarterseam_data_free"))
    assert 0 < float(free.split()[1]) <= 3 << 20
    assert server.stop() == 0


@pytest.mark.long
def test_figures_of_a_killed_server_are_removed_by_the_next(make_server: MakeServer) -> None:
    memory = Path("/dev/shm")  # noqa: S108 - where the service makes a folder of its own

    def folders() -> set[Path]:
        return set(memory.glob("quarterseam-figures-*"))

    if not os.access(memory, os.W_OK):
        pytest.skip("there is no memory file system here")
    before = folders()
    server = make_server()
    mine = folders() - before
    server.kill()
    assert mine <= folders()
    server.start()
    # Others' servers may have come and gone beside this one.
    assert not mine & folders() or len(mine) > 1
    assert server.stop() == 0
