"""What an answer says of a layout besides the places: sets, offcuts and the bound."""

from __future__ import annotations

from typing import Any

from flask.testing import FlaskClient

PIECES: list[dict[str, Any]] = [
    {"id": "A", "shape": {"kind": "hexagon", "side": 25}, "quantity": 90},
    {"id": "B", "shape": {"kind": "square", "side": 25}, "quantity": 180},
]


def laid(client: FlaskClient, pieces: list[dict[str, Any]], **run: Any) -> dict[str, Any]:
    body = {
        "units": "mm",
        "pieces": pieces,
        "runs": [
            {
                "cut": "template",
                "cutter": "laser-bed",
                "material": {"kind": "card"},
                "formats": ["svg"],
                **run,
            }
        ],
    }
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 200, answer.get_json()
    found: dict[str, Any] = answer.get_json()["runs"][0]
    return found


def test_sets_keep_whole_blocks_together(client: FlaskClient) -> None:
    apart = laid(client, PIECES, effort="quick")
    together = laid(client, PIECES, sets=True, effort="quick")
    assert any(2 * load["outlines"].get("A", 0) != load["outlines"].get("B", 0)
               for load in apart["loads"])  # fmt: skip
    for load in together["loads"]:
        assert 2 * load["outlines"]["A"] == load["outlines"]["B"]
    assert together["totals"]["A"]["made"] == 90


def test_no_layout_does_with_fewer_loads_than_the_bound(client: FlaskClient) -> None:
    run = laid(client, PIECES, effort="quick")
    taken = sum(load["repeats"] for load in run["loads"])
    assert 1 <= run["min_loads"] <= taken


def test_offcuts_hold_no_piece(client: FlaskClient) -> None:
    run = laid(client, [PIECES[0] | {"quantity": 20}])
    (load,) = run["loads"]
    assert load["offcuts"]
    area = run["work_area"]
    for each in load["offcuts"]:
        right, top = each["x_mm"] + each["width_mm"], each["y_mm"] + each["height_mm"]
        assert right <= area["x_mm"] + area["width_mm"] + 1e-9
        assert top <= area["y_mm"] + area["height_mm"] + 1e-9
        # A hexagon of side 25 reaches 25 about its middle, at most.
        for place in load["placements"]:
            beside = max(each["x_mm"] - place["x_mm"], place["x_mm"] - right)
            above = max(each["y_mm"] - place["y_mm"], place["y_mm"] - top)
            assert max(beside, above) >= 25 * 3**0.5 / 2 - 1e-6


def test_the_picture_names_what_is_left(client: FlaskClient) -> None:
    kit = {
        "units": "mm",
        "pieces": [PIECES[0] | {"quantity": 20}],
        "runs": [
            {
                "cut": "template",
                "cutter": "laser-bed",
                "material": {"kind": "card"},
                "formats": ["svg"],
            }
        ],
    }
    made = client.post("/v1/kits", json=kit).get_json()
    load = made["runs"][0]["loads"][0]
    picture = client.get(load["picture"]).get_data(as_text=True)
    names = [each["name"] for each in load["offcuts"]]
    assert any(name.endswith("strip") for name in names), names
    assert 0 < picture.count("left over, worth keeping: ") <= len(names)


def test_a_preview_refuses_what_the_kit_would_be_refused_for(client: FlaskClient) -> None:
    body = {
        "units": "mm",
        "pieces": PIECES,
        "runs": [
            {
                "cut": "template",
                "cutter": "laser-bed",
                "material": {"kind": "card"},
                "formats": ["gcode"],
            }
        ],
    }
    answers = [client.post(where, json=body) for where in ("/v1/layouts", "/v1/kits")]
    assert [answer.status_code for answer in answers] == [422, 422]
    first, second = (answer.get_json() for answer in answers)
    assert first["errors"] == second["errors"]
