"""Marks asked for over HTTP reach the answer and the files; none come unasked."""

from __future__ import annotations

import copy
import json
from typing import Any

from flask.testing import FlaskClient

BODY: dict[str, Any] = {
    "title": "Harbour marks",
    "units": "in",
    "pieces": [
        {
            "id": "A7",
            "shape": {"kind": "hexagon", "side": "1"},
            "seam_allowance": "1/4",
            "removal_hole": True,
            "seam_line": "score",
            "match_marks": True,
            "grain_arrow": True,
            "label": True,
        }
    ],
    "runs": [
        {"cut": "template", "cutter": "drag-blade-sheet", "formats": ["plan"]},
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "material": {"kind": "card"},
            "formats": ["plan", "svg", "dxf", "hpgl"],
        },
    ],
}


def test_marks_are_drawn_before_anything_is_cut(client: FlaskClient) -> None:
    kit = client.post("/v1/kits", json=BODY).get_json()
    piece = kit["pieces"][0]
    assert len(piece["template"]["holes"]) == 1
    roles = {mark["role"] for mark in piece["patch"]["marks"]}
    assert roles == {"seam-line", "match-mark", "grain-arrow", "label"}
    assert piece["patch"]["holes"] == []
    for run in kit["runs"]:
        file = next(f for f in run["loads"][0]["files"] if f["format"] == "plan")
        plan = json.loads(client.get(file["href"]).data)
        kinds = [(s["operation"], s["part"]) for s in plan["strokes"]]
        assert kinds[-1] == ("cut", "outline")
        first_cut = next(n for n, kind in enumerate(kinds) if kind[0] == "cut")
        assert all(kind[0] == "cut" for kind in kinds[first_cut:])


def test_no_marks_unasked(client: FlaskClient) -> None:
    body = copy.deepcopy(BODY)
    for name in ("removal_hole", "seam_line", "match_marks", "grain_arrow", "label"):
        del body["pieces"][0][name]
    piece = client.post("/v1/kits", json=body).get_json()["pieces"][0]
    assert piece["template"]["holes"] == piece["template"]["marks"] == piece["patch"]["marks"] == []


def test_what_finds_no_room_is_told(client: FlaskClient) -> None:
    body = copy.deepcopy(BODY)
    body["pieces"][0]["shape"]["side"] = "1/4"
    body["pieces"][0]["label"] = "TOO LONG A"
    warnings = client.post("/v1/kits", json=body).get_json()["warnings"]
    for word in ("removal hole", "label", "grain arrow"):
        assert any(word in warning for warning in warnings)


def test_faults_of_marks(client: FlaskClient) -> None:
    body = copy.deepcopy(BODY)
    body["pieces"][0].update({"seam_line": "burn", "label": "x" * 13, "match_marks": "yes"})
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 422
    pointers = {error["pointer"] for error in answer.get_json()["errors"]}
    assert pointers == {f"#/pieces/0/{name}" for name in ("seam_line", "label", "match_marks")}
