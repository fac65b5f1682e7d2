"""Cures: after the changes that an answer states, its warning or error is gone.

The changes are operations of a JSON Patch (RFC 6902), their paths JSON pointers (RFC 6901).
"""

from __future__ import annotations

import copy
from typing import Any

import pytest
from flask.testing import FlaskClient

SQUARE = {"id": "A", "shape": {"kind": "square", "side": "2"}, "quantity": 8, "seam_allowance": 0}
LASER = {"tool": {"kind": "laser", "kerf": "0.2 mm"}, "bed": {"width": 24, "height": 16}}
#: Without a side of its own it turns over onto itself at no turn that keeps a fixed grain.
CHIRAL = {"id": "A", "shape": {"kind": "custom", "points": [[0, 0], [3, 0], [1, 2]]},
          "grain": "fixed", "quantity": 8}  # fmt: skip


def patched(body: dict[str, Any], changes: list[dict[str, Any]]) -> dict[str, Any]:
    """Return a body after the operations of a JSON Patch (RFC 6902, sections 4.1 and 4.2)."""
    found = copy.deepcopy(body)
    for change in changes:
        *steps, last = change["path"].removeprefix("/").split("/")
        place: Any = found
        for step in steps:
            place = place[int(step) if isinstance(place, list) else step]
        if change["op"] == "remove":
            assert "value" not in change
            del place[last]
        else:
            place[last] = change["value"]
    return found


def kit(piece: dict[str, Any] = SQUARE, **run: Any) -> dict[str, Any]:
    whole = {"cut": "template", "cutter": LASER, "material": {"kind": "card"}} | run
    return {"units": "in", "pieces": [piece], "runs": [whole]}


@pytest.mark.parametrize(
    ("body", "words", "changes"),
    [
        # Ejection rubber does not stand in 2 mm between two rules (common practice, no source).
        (kit(cutter="die-board", gap="2 mm"), "A gap of", ["add /runs/0/gap"]),
        (
            kit(material={"kind": "card", "width": 12, "height": 12, "edge_clearance": 0}),
            "runs off the sheet",
            ["add /runs/0/material/edge_clearance"],
        ),
        (
            kit(CHIRAL, cut="patch", layers=2, stack="face_to_face"),
            "comes out mirrored",
            ["add /runs/0/stack"],
        ),
        (kit(stack="face_to_face"), "One layer has nothing", ["add /runs/0/stack"]),
        (kit(cut="patch", reuse=4), "reuse is for templates", ["remove /runs/0/reuse"]),
        (
            kit(cutter="drag-blade-sheet", layers=3, material={"kind": "fabric"}),
            "out of place",
            ["add /runs/0/layers"],
        ),
        (
            kit(SQUARE | {"label": "A"}, cut="patch", layers=2, stack="face_to_face"),
            "Only the top layer",
            ["add /runs/0/layers", "add /runs/0/stack"],
        ),
        (
            kit(cutter="die-board", ties={"count": 2, "width": "0.5 mm"}),
            "ties are not used here",
            ["remove /runs/0/ties"],
        ),
    ],
)  # fmt: skip
def test_a_warning_is_gone_after_its_changes(
    client: FlaskClient, body: dict[str, Any], words: str, changes: list[str]
) -> None:
    first = client.post("/v1/layouts", json=body)
    assert first.status_code == 200, first.get_json()
    about = [each for each in first.get_json()["warnings"] if words in each]
    assert len(about) == 1
    cure = next(each for each in first.get_json()["cures"] if each["warning"] == about[0])
    assert [f"{each['op']} {each['path']}" for each in cure["changes"]] == changes
    second = client.post("/v1/layouts", json=patched(body, cure["changes"]))
    assert second.status_code == 200, second.get_json()
    assert not [each for each in second.get_json()["warnings"] if words in each]
    # What else the first answer warns of keeps its own cures; the changes bring no new one.
    others = [each["warning"] for each in first.get_json()["cures"] if each != cure]
    assert {each["warning"] for each in second.get_json().get("cures", [])} <= set(others)


def test_a_warning_of_several_runs_has_the_changes_of_all(client: FlaskClient) -> None:
    body = kit(cut="patch", reuse=4)
    body["runs"] += [kit()["runs"][0], dict(body["runs"][0])]
    answer = client.post("/v1/layouts", json=body).get_json()
    (cure,) = answer["cures"]
    assert cure["warning"].startswith("Runs 1 and 3: ")
    assert [each["path"] for each in cure["changes"]] == ["/runs/0/reuse", "/runs/2/reuse"]
    assert "cures" not in client.post(
        "/v1/layouts", json=patched(body, cure["changes"])
    ).get_json()  # fmt: skip


def test_a_kit_has_the_cures_of_its_preview_and_its_recut_has_none(client: FlaskClient) -> None:
    body = kit(cutter="die-board", gap="2 mm")
    preview = client.post("/v1/layouts", json=body).get_json()
    made = client.post("/v1/kits", json=body).get_json()
    assert made["cures"] == preview["cures"]
    again = client.post(f"/v1/kits/{made['id']}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert again.status_code == 201
    assert "cures" not in again.get_json()


def test_a_piece_too_large_for_two_runs_gets_the_size_that_fits_both(client: FlaskClient) -> None:
    # Beds of 8 in and 6 in without margins: a square of 6 in is the largest that fits both.
    beds = [{"tool": {"kind": "pen"}, "bed": {"width": side, "height": side}} for side in (8, 6)]
    body = kit(SQUARE | {"shape": {"kind": "square", "side": "9"}, "grain": "fixed"})
    body["runs"] = [body["runs"][0] | {"cutter": bed} for bed in beds]
    problem = client.post("/v1/layouts", json=body).get_json()
    cures = [each["cure"] for each in problem["errors"] if "cure" in each]
    assert [each["changes"] for each in cures] == [
        [{"op": "add", "path": "/pieces/0/shape/side", "value": "6 in"}]
    ] * 2
    assert client.post("/v1/layouts", json=patched(body, cures[0]["changes"])).status_code == 200


def test_a_drawn_piece_that_is_too_large_states_its_share(client: FlaskClient) -> None:
    # A drawn square of 8 in on a bed of 6 in: three quarters of its size.
    drawn = {"kind": "custom", "points": [[0, 0], [8, 0], [8, 8], [0, 8]]}
    cutter = {"tool": {"kind": "pen"}, "bed": {"width": 6, "height": 6}}
    body = kit({"id": "A", "shape": drawn, "grain": "fixed"}, cutter=cutter)
    errors = client.post("/v1/layouts", json=body).get_json()["errors"]
    assert [each.get("largest_percent") for each in errors] == [None, 75]
    assert not any("cure" in each for each in errors)


def test_an_allowance_too_large_is_cured_by_the_largest_that_works(client: FlaskClient) -> None:
    # A notch 1 in wide between walls that are parallel closes at 1/2 in: anything less works.
    notch = [[0, 0], [5, 0], [5, 3], [3, 3], [3, 1], [2, 1], [2, 3], [0, 3]]
    piece = {"id": "A", "shape": {"kind": "custom", "points": notch}, "seam_allowance": "3/4"}
    body = kit(piece)
    problem = client.post("/v1/layouts", json=body).get_json()
    assert problem["type"] == "/problems#allowance-too-large"
    (error,) = problem["errors"]
    (change,) = error["cure"]["changes"]
    assert change["path"] == "/pieces/0/seam_allowance"
    assert change["value"] in {"7/16 in", "1/2 in"}
    assert client.post("/v1/layouts", json=patched(body, [change])).status_code == 200
    # One of several edges may be meant: which, nobody but the caller knows.
    piece["seam_allowance"] = {"default": "3/4", "edges": {"0": "1/4"}}
    problem = client.post("/v1/layouts", json=body).get_json()
    assert not any("cure" in each for each in problem["errors"])
