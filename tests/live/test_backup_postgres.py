"""The commands of openapi/OPERATIONS.md for backups of PostgreSQL, run as they stand there."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from service.app import create_app
from service.settings import Settings
from tests.live import live_jobs

ROOT = Path(__file__).resolve().parents[2]
ZIP = {"Accept": "application/zip"}


def _block(first: str) -> str:
    """Return the block of commands that begins with a word."""
    text = (ROOT / "openapi" / "OPERATIONS.md").read_text()
    (found,) = re.findall(rf"^    {first} .*\n(?:    .*\n)*", text, re.MULTILINE)
    return str(found)


def _run(commands: str, folder: Path, postgres: Any, data: Path, database: str) -> str:
    path = [str(postgres.programs), str(Path(sys.executable).parent), os.environ["PATH"]]
    ran = subprocess.run(
        ["bash", "-euc", commands], cwd=folder, capture_output=True, text=True, check=False,
        env={
            "PATH": os.pathsep.join(path), "HOME": str(folder), "PYTHONPATH": str(ROOT),
            "QUARTERSEAM_DATA": str(data), "QUARTERSEAM_DATABASE": database,
        },
    )  # fmt: skip
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout


def _read(data: Path, database: str, make: tuple[str, ...] = ()) -> dict[str, tuple[bytes, bytes]]:
    """Create kits and return all: their answers and zips."""
    url = database.replace("postgresql://", "postgresql+psycopg://")
    app = create_app(Settings(data=data, database=url, compute_seconds=600))
    client = app.test_client()
    for title in make:
        body = live_jobs.small_kit(title)
        assert client.post("/v1/kits", json=body).status_code == 201
    links = [each["href"] for each in client.get("/v1/kits").get_json()["kits"]]
    found = {link: (client.get(link).data, client.get(link, headers=ZIP).data) for link in links}
    app.extensions["quarterseam-store"]().close()
    return found


@pytest.mark.postgres
def test_postgresql_is_backed_up_and_restored_by_the_page(tmp_path: Path, postgres: Any) -> None:
    data, new = tmp_path / "data", tmp_path / "new"
    new.mkdir()
    kits = _read(data, postgres.url, ("Jetty", "Quay"))
    _run(_block("pg_dump"), tmp_path, postgres, data, postgres.url)
    # What comes and goes later is not in it.
    assert len(_read(data, postgres.url, ("Mole",))) == 3
    postgres.run("createdb", "-h", "127.0.0.1", "-p", str(postgres.port), "-U", "postgres", "again")
    database = postgres.url.replace("/postgres", "/again").replace("//again", "//postgres")
    said = _run(_block("pg_restore"), tmp_path, postgres, new, database)
    assert "2 kits checked: 0 missing, 0 orphaned, 0 damaged; 0 not repaired" in said
    assert _read(new, database) == kits
