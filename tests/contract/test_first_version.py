"""Stored requests and answers of version 0.1.0, with their own names, are read and cut again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from service.app import create_app
from service.errors import RequestError
from service.kits.stored_loads import with_pieces
from service.requests.kits import kit_request
from service.requests.recuts import RecutRequest
from service.requests.stored_names import current_request
from service.sandbox.stored_tasks import of_stored_kit
from service.settings import Settings
from service.tools.built_in import BUILT_IN
from tests.fixtures.kept_data import unpack

FIXTURES = Path(__file__).resolve().parents[1] / "fixtures"
KITS = json.loads((FIXTURES / "data-0.1.0.json").read_text())["kits"]


@pytest.mark.parametrize("kit_id", KITS)
def test_a_kit_of_the_first_version_is_cut_again(tmp_path: Path, kit_id: str) -> None:
    unpack("0.1.0", tmp_path)
    client = create_app(Settings(data=tmp_path, compute_seconds=600)).test_client()
    stored = client.get(f"/v1/kits/{kit_id}").get_json()
    answer = client.post(f"/v1/kits/{kit_id}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert answer.status_code == 201, answer.text
    kit = answer.get_json()
    old, new = stored["pieces"][0], kit["pieces"][0]
    assert new["patch"] == old["patch"]
    assert new["allowance"]["requested_mm"] == old["allowance"]["asked_mm"]
    assert new["allowance"]["min_mm"] == old["allowance"]["least_mm"]
    # Only the run sheet was requested, under the old name.
    assert "run_sheet" in kit
    assert "labels" not in kit
    # Whole loads are read from the stored answer, which has its own names for what they hold.
    (load,) = stored["runs"][0]["loads"]
    assert with_pieces(stored, RecutRequest(1, {}, None, False, loads={1: 2})).pieces == {
        piece: 2 * count for piece, count in load["counts"].items()
    }
    # A recut is stored with today's names and can be cut again itself.
    again = client.post(f"{answer.headers['Location']}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert again.status_code == 201, again.text


def test_a_job_stored_by_the_first_version_is_read(small_kit: dict[str, Any]) -> None:
    found = of_stored_kit(
        1.0, small_kit | {"print": ["labels"]}, BUILT_IN, task=lambda _, request: request.documents
    )
    assert found == {"labels"}


def test_old_names_are_known_in_stored_requests_only(small_kit: dict[str, Any]) -> None:
    run = {**small_kit["runs"][0], "greatest_mismatch_deg": 5}
    request = current_request({**small_kit, "runs": [run], "print": []})
    assert (request["documents"], request["runs"][0]["max_mismatch_deg"]) == ([], 5)
    with pytest.raises(RequestError) as refused:
        kit_request(small_kit | {"print": []}, BUILT_IN.get)
    (fault,) = refused.value.errors
    assert fault.pointer == "#/print"
    assert "documents" in fault.detail
