"""Runs are numbered from 1 wherever people read them; JSON pointers count from 0 (RFC 6901)."""

from __future__ import annotations

import io
import json
import zipfile
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.printed_words import printed_words


@pytest.fixture
def two_cloths(small_kit: dict[str, Any]) -> dict[str, Any]:
    run = small_kit["runs"][0] | {"cut": "patch"}
    small_kit["runs"] = [
        run | {"material": {"name": name, "kind": "fabric"}} for name in ("blue cotton", "Löß rot")
    ]
    return small_kit


def made(client: FlaskClient, body: dict[str, Any]) -> tuple[dict[str, Any], dict[str, bytes]]:
    answer = client.post("/v1/kits", json=body, headers={"Accept": "application/zip"})
    assert answer.status_code == 201, answer.get_data(as_text=True)
    with zipfile.ZipFile(io.BytesIO(answer.data)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    return json.loads(files["kit.json"]), files


text_of = printed_words


def test_answer_files_sheet_labels_and_pictures_use_one_number(
    client: FlaskClient, two_cloths: dict[str, Any]
) -> None:
    kit, files = made(client, two_cloths)
    assert [run["number"] for run in kit["runs"]] == [1, 2]
    names = {file["name"] for run in kit["runs"] for load in run["loads"] for file in load["files"]}
    assert names == {"1-patch-blue-cotton-1.svg", "2-patch-loss-rot-1.svg"}
    for number, slug, cloth in ((1, "blue-cotton", "blue cotton"), (2, "loss-rot", "Löß rot")):
        for picture in ("picture", "path-picture"):
            drawn = files[f"{number}-patch-{slug}-1-{picture}.svg"].decode()
            assert f"run {number}: patch, {cloth}, load 1" in drawn
        assert f"Run {number}: patch, {cloth}" in text_of(files["run-sheet.pdf"])
        assert f"Run {number}: patch, {cloth}" in files["run-sheet.html"].decode()
        assert f"Run {number}: patch, {cloth}" in text_of(files["labels.pdf"])


def test_a_refusal_says_the_number_and_points_by_index(
    client: FlaskClient, two_cloths: dict[str, Any]
) -> None:
    two_cloths["runs"][1]["material"] |= {"width": "1 in", "height": "1 in"}
    problem = client.post("/v1/kits", json=two_cloths).get_json()
    assert problem["run"] == 2
    assert "#/runs/1" in {fault["pointer"] for fault in problem["errors"]}


def test_a_recut_names_the_run_as_the_sheet_does(
    client: FlaskClient, two_cloths: dict[str, Any]
) -> None:
    kit = client.post("/v1/kits", json=two_cloths).get_json()
    link = f"/v1/kits/{kit['id']}/recuts"
    again = client.post(link, json={"run": 2, "pieces": {"A": 1}}).get_json()
    assert again["runs"][0]["material"]["name"] == "Löß rot"
    refused = client.post(link, json={"run": 0, "pieces": {"A": 1}})
    assert refused.status_code == 422
    (fault,) = refused.get_json()["errors"]
    assert (fault["pointer"], "numbered from 1" in fault["detail"]) == ("#/run", True)
