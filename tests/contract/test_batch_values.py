"""A batch's values are checked before any work, and errors point into the batch's own request."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from flask.testing import FlaskClient

Json = dict[str, Any]


def _changed(body: Json, path: str, value: object) -> Json:
    """Return JSON with the value at a path, such as ``runs/0/gap``, changed."""
    changed = copy.deepcopy(body)
    *way, last = path.split("/")
    place: Any = changed
    for step in way:
        place = place[int(step) if step.isdecimal() else step]
    place[last] = value
    return changed


def _errors(client: FlaskClient, body: Json) -> dict[str, str]:
    before = client.get("/v1/batches").get_json()
    answer = client.post("/v1/batches", json=body)
    assert answer.status_code == 422, answer.text
    assert client.get("/v1/batches").get_json() == before
    return {each["pointer"]: each["detail"] for each in answer.get_json()["errors"]}


def test_values_of_whole_requests(client: FlaskClient, small_kit: Json) -> None:
    """Each in the request that has it; a request without errors is not named."""
    bodies = [
        _changed(small_kit, "pieces/0/shape/side", "-1"),
        small_kit,
        _changed(small_kit, "runs/0/gap", "5 parsecs"),
        _changed(small_kit, "runs/0/cutter", "nobody"),
        _changed(small_kit, "runs/0/pieces", [{"id": "Z"}]),
    ]
    found = _errors(client, {"requests": bodies})
    assert set(found) == {
        "#/requests/0/pieces/0/shape/side",
        "#/requests/2/runs/0/gap",
        "#/requests/3/runs/0/cutter",
        "#/requests/4/runs/0/pieces/0/id",
    }
    assert "nobody" in found["#/requests/3/runs/0/cutter"]


@pytest.mark.parametrize(
    ("changes", "pointers"),
    [
        ({"sizes": [{"side": "1"}, {"side": "0"}, {"side": "-2 in"}]}, ["sizes/1", "sizes/2"]),
        ({"cutters": ["drag-blade-sheet", "nobody"]}, ["cutters/1"]),
        ({"cutters": ["drag-blade-sheet", {"tool": {"kind": "saw"}}]}, ["cutters/1"]),
        (
            {"shapes": [{"kind": "square", "side": "1"}, {"kind": "square", "side": "-1"}]},
            ["shapes/1"],
        ),
        (
            {"shapes": [{"kind": "square", "side": "1"}], "sizes": [{"side": "1"}, {"side": "0"}]},
            ["sizes/1"],
        ),
        (
            {"sizes": [{"side": "1"}, {"diameter": "1"}], "cutters": ["nobody"]},
            ["sizes/1", "cutters/0"],
        ),
    ],
)
def test_values_of_lists(
    client: FlaskClient, small_kit: Json, changes: Json, pointers: list[str]
) -> None:
    found = _errors(client, {"request": small_kit, **changes})
    for wanted in pointers:
        assert any(each.startswith(f"#/{wanted}") for each in found), found
    assert all(any(each.startswith(f"#/{wanted}") for wanted in pointers) for each in found), found


def test_values_of_the_one_request(client: FlaskClient, small_kit: Json) -> None:
    """Once, although every kit has them."""
    base = _changed(_changed(small_kit, "runs/0/gap", "-1"), "pieces/0/seam_allowance", "9 miles")
    found = _errors(client, {"request": base, "sizes": [{"side": "1"}, {"side": "2"}]})
    assert set(found) == {"#/request/runs/0/gap", "#/request/pieces/0/seam_allowance"}


def test_what_a_list_replaces_may_be_anything(client: FlaskClient, small_kit: Json) -> None:
    """The size and the cutter of the one request are in no kit of the batch."""
    base = _changed(_changed(small_kit, "pieces/0/shape/side", "-1"), "runs/0/cutter", "nobody")
    body = {"request": base, "sizes": [{"side": "1"}], "cutters": ["drag-blade-sheet"]}
    answer = client.post("/v1/batches", json=body)
    assert answer.status_code == 202, answer.text
    client.delete(answer.headers["Location"])


def test_lists_are_for_the_pieces_and_runs_that_are_named(
    client: FlaskClient, small_kit: Json
) -> None:
    """Sizes for B and cutters for run 2: what A and run 1 state is in every kit."""
    pieces = [{**small_kit["pieces"][0], "id": name} for name in "AB"]
    pieces[0]["shape"] = {"kind": "hexagon", "side": "-1"}
    runs = [{**small_kit["runs"][0], "cutter": "nobody"}, small_kit["runs"][0]]
    body = {
        "request": {**small_kit, "pieces": pieces, "runs": runs},
        "sizes": [{"side": "1"}],
        "pieces": ["B"],
        "cutters": ["drag-blade-sheet"],
        "runs": [2],
    }
    found = _errors(client, body)
    assert set(found) == {"#/request/pieces/0/shape/side", "#/request/runs/0/cutter"}
