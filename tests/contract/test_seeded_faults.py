"""Faults seeded in writers, plans and assembly: each is stopped before a file is handed out.

The default run tries every third; the long form (``-m long``) all, and each kit without a fault.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.tools import recent_answers
from tests.contract.seeded_faults import FAULTS

SHORT = list(FAULTS)[::3]
REST = [name for name in FAULTS if name not in SHORT]


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FlaskClient:
    # In this process, where the fault is.
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
    return create_app(Settings(data=tmp_path / "data", compute_seconds=120)).test_client()


def require_stopped(client: FlaskClient, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    fault = FAULTS[name]
    before = client.post("/v1/kits", json=fault.kit)
    assert before.status_code == 201, str(before.get_json())
    # A right plan that this process has kept would take the place of the faulty one.
    recent_answers.clear_all()
    fault.seed(monkeypatch)
    answer = client.post("/v1/kits", json=fault.kit)
    assert answer.status_code == 500, f"{name}: a wrong kit was handed out"
    assert answer.get_json()["type"].rpartition("#")[2] in ("internal-error", "plan-not-proved")
    assert len(client.get("/v1/kits").get_json()["kits"]) == 1


def test_there_are_thirty() -> None:
    assert len(FAULTS) >= 30


@pytest.mark.parametrize("name", SHORT)
def test_a_fault_is_stopped(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    require_stopped(client, monkeypatch, name)


@pytest.mark.long
@pytest.mark.parametrize("name", REST)
def test_every_fault_is_stopped(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    require_stopped(client, monkeypatch, name)


def test_what_is_wrong_is_named(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """The problem names run, load, placement and stroke, and nothing is stored."""
    fault = FAULTS["one stroke moved 0.05 mm"]
    fault.seed(monkeypatch)
    answer = client.post("/v1/kits", json=fault.kit)
    problem = answer.get_json()
    assert answer.status_code == 500
    assert problem["type"].endswith("#plan-not-proved")
    assert (problem["run"], problem["load"]) == (1, 1)
    assert "Run 1, load 1" in problem["detail"]
    assert re.match(r"placement \d \([AB], strokes? \d", problem["faults"][0])
    assert client.get("/v1/kits").get_json()["kits"] == []
