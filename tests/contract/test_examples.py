"""Every example body is taken by the service, and its kit is whole."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from tests.short_form import short_form

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples"
KITS = sorted(
    file.stem for file in EXAMPLES.glob("*.json") if "runs" in json.loads(file.read_text("utf-8"))
)


#: The dearest is made in test_service_document.py, with less effort.
@pytest.mark.parametrize("name", short_form(KITS, {*KITS} - {"lighthouse-laser-kit"}))
def test_a_kit_is_made_and_covers_what_was_asked(client: FlaskClient, name: str) -> None:
    body = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 201, answer.get_data(as_text=True)
    kit = answer.get_json()
    for run in kit["runs"]:
        for total in run["totals"].values():
            assert total["made"] == total["requested"] + total["spare"]
        for load in run["loads"]:
            for file in load["files"]:
                assert file["read_back"]["worst_deviation_mm"] <= 0.03
                assert client.get(file["href"]).status_code == 200
    for piece in kit["pieces"]:
        allowance = piece["allowance"]
        assert allowance["min_mm"] == pytest.approx(allowance["requested_mm"], abs=1e-3)
        assert allowance["max_mm"] == pytest.approx(allowance["requested_mm"], abs=1e-3)
    assert kit["cautions"]
    assert client.get(kit["run_sheet"]).data.startswith(b"%PDF-1.6")


def test_there_are_kits_for_several_tools() -> None:
    assert len(KITS) >= 3
