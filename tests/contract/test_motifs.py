"""Prints that cannot be used are refused at their member, with what would be right."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from flask.testing import FlaskClient

BODY: dict[str, Any] = {
    "units": "mm",
    "pieces": [
        {"id": "A", "shape": {"kind": "square", "side": 60}, "quantity": 4, "motif": True},
        {"id": "B", "shape": {"kind": "square", "side": 60}, "quantity": 4},
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {"tool": {"kind": "pen"}, "bed": {"width": 400, "height": 300}},
            "material": {
                "name": "print",
                "kind": "fabric",
                "motif": {
                    "repeat_width": 100,
                    "repeat_height": 80,
                    "positions": [{"x": 50, "y": 40}],
                },
            },
        }
    ],
}
AT = "runs.0.material.motif"
THREE = [
    {"column": 0, "row": 0, "x": 50, "y": 40},
    {"column": 2, "row": 0, "x": 250, "y": 40},
    {"column": 0, "row": 2, "x": 50, "y": 200},
]

WRONG: list[tuple[str, str, Any, str, str]] = [
    ("a texture", f"{AT}.repeat_width", 2, "", "5"),
    ("a drop of a whole repeat", f"{AT}.drop", 80, "", "80"),
    ("a motif beside the repeat", f"{AT}.positions.0.x", 100, "", "outside its repeat"),
    ("a motif above the repeat", f"{AT}.positions.0.y", 95, "", "outside its repeat"),
    ("a motif left of it", f"{AT}.positions.0.x", -3, "", "at least 0"),
    ("no motifs", f"{AT}.positions", [], "", "1"),
    ("two measured", f"{AT}.measured", THREE[:2], "", "3"),
    ("measured twice", f"{AT}.measured", [*THREE[:2], THREE[1]], f"{AT}.measured.2", "already"),
    (
        "measured in a line",
        f"{AT}.measured",
        [*THREE[:2], {"column": 1, "row": 0, "x": 150, "y": 40}],
        "",
        "line",
    ),
    (
        "measured at another motif",
        f"{AT}.measured",
        [*THREE[:2], {"column": 0, "row": 2, "x": 50, "y": 120}],
        "",
        "50 % as high",
    ),
    (
        "measured wrong side up",
        f"{AT}.measured",
        [*THREE[:2], {"column": 0, "row": 2, "x": 50, "y": -120}],
        "",
        "wrong side up",
    ),
    (
        "no such motif",
        f"{AT}.measured",
        [*THREE[:2], {**THREE[2], "position": 2}],
        f"{AT}.measured.2.position",
        "no such motif",
    ),
    ("a point off the piece", "pieces.0.motif", {"x": 90, "y": 0}, "", "template"),
    ("a motif in words", "pieces.0.motif", "middle", "", "true"),
    (
        "face to face",
        "runs.0",
        {**BODY["runs"][0], "layers": 2, "stack": "face_to_face"},
        "runs.0.stack",
        "face up",
    ),
    ("whole sets", "runs.0.sets", True, "", "sets"),
]


def _place(body: Any, path: str) -> tuple[Any, Any]:
    *steps, last = [int(step) if step.isdecimal() else step for step in path.split(".")]
    for step in steps:
        body = body[step]
    return body, last


@pytest.mark.parametrize(
    ("path", "value", "pointer", "word"),
    [each[1:] for each in WRONG],
    ids=[each[0] for each in WRONG],
)
def test_wrong_prints(client: FlaskClient, path: str, value: Any, pointer: str, word: str) -> None:
    body = copy.deepcopy(BODY)
    holder, last = _place(body, path)
    holder[last] = value
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    errors = {each["pointer"]: each["detail"] for each in answer.get_json()["errors"]}
    place = "#/" + (pointer or path).replace(".", "/")
    assert set(errors) == {place}
    assert word in errors[place]


def test_both_an_origin_and_measures(client: FlaskClient) -> None:
    body = copy.deepcopy(BODY)
    body["runs"][0]["material"]["motif"] |= {"measured": THREE, "origin": {"x": 0, "y": 0}}
    (error,) = client.post("/v1/layouts", json=body).get_json()["errors"]
    assert error["pointer"] == "#/runs/0/material/motif/origin"


def test_a_motif_needs_a_print(client: FlaskClient) -> None:
    body = copy.deepcopy(BODY)
    del body["runs"][0]["material"]["motif"]
    (error,) = client.post("/v1/layouts", json=body).get_json()["errors"]
    assert error["pointer"] == "#/pieces/0/motif"


def test_a_print_on_a_stock(client: FlaskClient) -> None:
    body = copy.deepcopy(BODY)
    body["runs"][0]["material"]["stock"] = [{"name": "a", "width": 300, "height": 200}]
    (error,) = client.post("/v1/layouts", json=body).get_json()["errors"]
    assert error["pointer"] == "#/runs/0/material/motif"


def test_no_motif_far_enough_inside(client: FlaskClient) -> None:
    """A sheet of 70 by 70 mm holds a square of 60, but its only motif lies at 50, 40."""
    body = copy.deepcopy(BODY)
    body["runs"][0]["material"] |= {"width": 70, "height": 70, "edge_clearance": 0}
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422
    (error,) = answer.get_json()["errors"]
    assert error["pointer"] == "#/runs/0/material/motif"
    assert "origin" in error["detail"]
    body["pieces"][0]["shape"]["side"] = 80
    assert client.post("/v1/layouts", json=body).get_json()["type"].endswith("#does-not-fit")


def test_a_grain_that_no_motif_has(client: FlaskClient) -> None:
    """Motifs printed a quarter turn round, triangles that may not turn."""
    body = copy.deepcopy(BODY)
    body["runs"][0]["material"]["motif"]["turn_deg"] = 90
    body["pieces"][0] |= {"shape": {"kind": "triangle", "side": 40}, "grain": "fixed"}
    (error,) = client.post("/v1/layouts", json=body).get_json()["errors"]
    assert error["pointer"] == "#/runs/0/material/motif"
    # What keeps it off is said, not that the motifs lie at the edges; and what helps does help.
    assert "turn as the motifs are turned" in error["detail"]
    assert 'grain "free"' in error["detail"]
    body["pieces"][0]["grain"] = "free"
    assert client.post("/v1/layouts", json=body).status_code == 200


def test_too_fine_a_repeat_for_so_large_a_load(client: FlaskClient) -> None:
    """A repeat of 5 by 5 mm on 400 by 300 mm: 4,800 motifs."""
    body = copy.deepcopy(BODY)
    body["runs"][0]["material"]["motif"] = {"repeat_width": 5, "repeat_height": 5}
    (error,) = client.post("/v1/layouts", json=body).get_json()["errors"]
    assert error["pointer"] == "#/runs/0/material/motif"
    assert "4000" in error["detail"]
