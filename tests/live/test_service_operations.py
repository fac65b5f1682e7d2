"""The commands of openapi/OPERATIONS.md, run as they stand there on stores that hold something."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requests

from service.cli import COMMANDS
from tests.live import live_jobs

MakeServer = Callable[..., Any]
ROOT = Path(__file__).resolve().parents[2]
ZIP = {"Accept": "application/zip"}
#: One process and no jobs: it starts soon.
SMALL = {"QUARTERSEAM_WORKERS": "1", "QUARTERSEAM_JOB_SLOTS": "0"}
KEY = f"studio.{'a1' * 32}"


def _command(data: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    ours = {name: value for name, value in os.environ.items() if "QUARTERSEAM" not in name}
    stated = {"PYTHONPATH": str(ROOT), "QUARTERSEAM_DATA": str(data), **environment}
    return subprocess.run(
        [sys.executable, "-m", "service", *words],
        env=ours | stated, cwd=data.parent, capture_output=True, text=True, check=False,
        timeout=300,
    )  # fmt: skip


def _make_kit(server: Any, title: str) -> str:
    body = live_jobs.small_kit(title)
    body["runs"][0]["effort"] = "quick"
    made = requests.post(f"{server.url}/v1/kits", json=body, timeout=120)
    assert made.status_code == 201, made.text
    return str(made.headers["Location"])


def _fetched(server: Any, link: str) -> tuple[bytes, bytes]:
    found = [requests.get(server.url + link, headers=each, timeout=120) for each in ({}, ZIP)]
    assert [each.status_code for each in found] == [200, 200], found[0].text
    return found[0].content, found[1].content


def test_every_command_of_the_page_is_one() -> None:
    text = (ROOT / "openapi" / "OPERATIONS.md").read_text()
    named = set(re.findall(r"python3? -m service (\w+)", text))
    assert {"import", "move", "sweep", "keys"} <= named
    assert named <= set(COMMANDS)


@pytest.mark.long
@pytest.mark.postgres
@pytest.mark.timeout(900)
def test_one_machine_becomes_several(make_server: MakeServer, postgres: Any) -> None:
    server = make_server(**SMALL)
    kept = {link: _fetched(server, link) for link in (_make_kit(server, f"Pier {n}") for n in "AB")}
    cutter = requests.get(f"{server.url}/v1/cutters/laser-bed", timeout=120).json()["cutter"]
    saved = requests.put(f"{server.url}/v1/cutters/harbour", json=cutter, timeout=120)
    assert saved.status_code == 201
    assert server.stop() == 0
    data, database = server.data, {"QUARTERSEAM_DATABASE": postgres.url}
    made = _command(data, "keys", "add", "studio", "--scope", "write")
    assert made.returncode == 0, made.stderr

    # Before it is moved, the new database is refused for this folder, and nothing changes.
    refused = _command(data, "serve", **database)
    assert refused.returncode == 2
    assert "python -m service move" in refused.stderr

    moved = _command(data, "move", **database)
    assert moved.returncode == 0, moved.stderr
    assert "2 kits" in moved.stdout
    several = make_server(data=data, **database, **SMALL)
    assert {link: _fetched(several, link) for link in kept} == kept
    assert requests.get(f"{several.url}/v1/cutters/harbour", timeout=120).json()["cutter"] == cutter
    assert "studio" in _command(data, "keys", "list", **database).stdout
    more = _make_kit(several, "Pier C")
    assert several.stop() == 0

    # The old database is not served from again, and is not moved a second time.
    for words in ("serve", "move"):
        stated = database if words == "move" else {}
        again = _command(data, words, **stated)
        assert again.returncode == 2, again.stdout
        assert "was moved to another database" in again.stderr
    swept = _command(data, "sweep", **database)
    assert swept.returncode == 0, swept.stdout + swept.stderr
    several.start()
    assert several.url
    assert set(_fetched(several, more)) != set()


@pytest.mark.long
@pytest.mark.timeout(900)
def test_a_lost_database_is_made_again_from_the_old_folder(make_server: MakeServer) -> None:
    server = make_server(**SMALL)
    kept = {link: _fetched(server, link) for link in (_make_kit(server, f"Pier {n}") for n in "AB")}
    assert server.stop() == 0
    for path in server.data.glob("quarterseam.sqlite*"):
        path.unlink()
    refused = _command(server.data, "serve")
    assert refused.returncode == 2
    assert "import OLD_FOLDER" in refused.stderr
    new = make_server(**SMALL)
    # It can run beside servers.
    taken = _command(new.data, "import", str(server.data / "kits"))
    assert taken.returncode == 0, taken.stdout + taken.stderr
    assert taken.stdout.splitlines()[-1].startswith("2 taken back")
    assert {link: _fetched(new, link) for link in kept} == kept


@pytest.mark.long
@pytest.mark.timeout(900)
def test_a_copy_of_the_database_made_first_gives_later_kits_back(make_server: MakeServer) -> None:
    if shutil.which("sqlite3") is None:
        pytest.skip("SQLite's shell is not installed")
    server = make_server(**SMALL)
    early = _make_kit(server, "Pier A")
    copy = server.data.parent / "copy.sqlite"
    subprocess.run(
        ["sqlite3", str(server.data / "quarterseam.sqlite"), f".backup {copy}"], check=True
    )
    late = _make_kit(server, "Pier B")
    kept = {link: _fetched(server, link) for link in (early, late)}
    assert server.stop() == 0
    for path in server.data.glob("quarterseam.sqlite*"):
        path.unlink()
    shutil.copy(copy, server.data / "quarterseam.sqlite")
    for path in server.data.glob("kits/*/*.zip"):
        os.utime(path, (path.stat().st_mtime - 7200,) * 2)
    server.start()
    assert requests.get(server.url + late, timeout=120).status_code == 404
    taken = _command(server.data, "import")
    assert taken.returncode == 0, taken.stdout + taken.stderr
    assert {link: _fetched(server, link) for link in kept} == kept


@pytest.mark.long
@pytest.mark.timeout(900)
def test_a_key_in_a_file_opens_the_service_and_the_first_is_revoked(
    make_server: MakeServer, tmp_path: Path
) -> None:
    secret = tmp_path / "key"
    secret.write_text(f"{KEY}\n")
    server = make_server(QUARTERSEAM_AUTH="on", QUARTERSEAM_KEY_FILE=str(secret), **SMALL)
    headers = {"Authorization": f"Bearer {KEY}"}
    assert requests.get(f"{server.url}/v1/kits", timeout=120).status_code == 401
    assert requests.get(f"{server.url}/v1/kits", headers=headers, timeout=120).status_code == 200
    made = _command(server.data, "keys", "add", "bench", "--scope", "write")
    assert made.returncode == 0, made.stderr
