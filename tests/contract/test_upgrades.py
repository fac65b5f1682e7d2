"""Data folders of earlier versions, opened by this one: also by several processes at once."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service import __version__
from service.app import create_app
from service.cli import main
from service.settings import Settings
from service.storage.migrations import REVISIONS
from tests.fixtures.kept_data import unpack
from tests.fixtures.make_data import expected
from tests.short_form import short_form

ROOT = Path(__file__).resolve().parents[2]
FIXTURES = ROOT / "tests" / "fixtures"
#: Made by ``tests/fixtures/make_data.py``: by each released version, and named after it; and before
#: the tables changed, named after their revision.
NAMES = sorted(path.stem.removeprefix("data-") for path in FIXTURES.glob("data-*.json"))


def _unpack(name: str, folder: Path) -> dict[str, Any]:
    unpack(name, folder)
    return dict(json.loads((FIXTURES / f"data-{name}.json").read_text()))


def test_there_is_a_fixture_of_every_version_and_revision_that_was_in_use() -> None:
    changes = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    released = re.findall(r"^## (\d+\.\d+\.\d+)", changes, re.MULTILINE)
    assert __version__ == released[0]
    assert {name for name in NAMES if "." in name} == {*released, "0.1.0"}
    stored = {name: json.loads((FIXTURES / f"data-{name}.json").read_text()) for name in NAMES}
    for name in released:
        assert stored[name]["made_by"] == name
    # Databases of 0.1.0 had no revisions; those of the first two were not in use.
    found = {each["revision"] for name, each in stored.items() if name != "0.1.0"}
    assert found >= {f"{number:04}" for number in range(3, len(REVISIONS))}


@pytest.mark.parametrize("name", NAMES[1:])
def test_a_store_answers_as_the_version_that_made_it(
    tmp_path: Path, name: str, do_jobs: Callable[[Flask], int], monkeypatch: pytest.MonkeyPatch
) -> None:
    stored = _unpack(name, tmp_path)
    app = create_app(Settings(data=tmp_path, compute_seconds=600))
    found = expected(app.test_client())
    # Stores of earlier versions hold no blocks.
    assert {key: stored.get(key, {}) for key in found} == found
    # What waited is done by this version; what is searched is found.
    assert do_jobs(app) == sum(state == "queued" for state in stored["jobs"].values()) + 2
    client = app.test_client()
    kits = client.get("/v1/kits?cutter=laser-bed&limit=200").get_json()["kits"]
    assert len(kits) == len(stored["kits"]) + 3
    assert kits == client.get("/v1/kits?shape=square").get_json()["kits"]
    (batch,) = client.get("/v1/batches").get_json()["batches"]
    assert batch["counts"]["succeeded"] == 2
    app.extensions["quarterseam-store"]().close()
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path))
    assert main(["check"]) == 0


@pytest.mark.parametrize("name", short_form(NAMES, {NAMES[0]}))
def test_several_processes_may_open_a_store_of_an_earlier_version_at_once(
    tmp_path: Path, name: str
) -> None:
    stored = _unpack(name, tmp_path)
    code = (
        "import sys; from pathlib import Path; from service.settings import Settings; "
        "from service.storage.store import Store; sys.stdin.read(1); "
        f"store = Store(Settings(data=Path({str(tmp_path)!r}))); store.check(); "
        "print(len(store.kits.page(200)))"
    )
    processes = [
        subprocess.Popen(
            [sys.executable, "-c", code], cwd=ROOT, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        for _ in range(4)
    ]  # fmt: skip
    for process in processes:
        # Each waits, with everything imported, until all are started.
        assert process.stdin is not None
        process.stdin.write("x")
        process.stdin.flush()
    for process in processes:
        out, err = process.communicate(timeout=600)
        assert (process.returncode, out.strip()) == (0, str(len(stored["kits"]))), err
