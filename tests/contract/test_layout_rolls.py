"""Roll stock over HTTP: the width is given, the length is minimised and stated."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import shapely
from flask.testing import FlaskClient

EXAMPLE = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "harbour-roll.json"
SQUARES: dict[str, Any] = {
    "title": "Harbour",
    "units": "mm",
    "pieces": [{"id": "A", "shape": {"kind": "square", "side": 48}, "quantity": 60}],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "pen"},
                "bed": {"shape": "roll", "width": 270},
                "margins": {"left": 15, "right": 5, "top": 8, "bottom": 12},
            },
            "gap": 2,
            "formats": ["svg", "dxf", "pdf", "plan", "hpgl"],
        }
    ],
}


def asked(**bed: Any) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(json.dumps(SQUARES))
    body["runs"][0]["cutter"]["bed"] |= bed
    return body


def ends(kit: dict[str, Any], load: dict[str, Any]) -> tuple[float, float, float, float]:
    """Return the box of everything that a load places, calculated from the answer alone."""
    outlines = {
        piece["id"]: shapely.Polygon([row[:2] for row in piece["template"]["outline"]])
        for piece in kit["pieces"]
    }
    placed = [
        shapely.affinity.translate(
            shapely.affinity.rotate(outlines[each["piece"]], each["turn_deg"], origin=(0, 0)),
            each["x_mm"],
            each["y_mm"],
        )
        for each in load["placements"]
    ]
    left, bottom, right, top = shapely.unary_union(placed).bounds
    return left, bottom, right, top


def test_the_length_is_as_short_as_it_can_be_and_told(client: FlaskClient) -> None:
    # derived: 250 mm between the margins hold 5 squares of 48 mm and 4 gaps of 2 mm; 60 squares
    # are 12 columns and 11 gaps long, and the margins before and after come to that
    answer = client.post("/v1/kits", json=asked())
    assert answer.status_code == 201, answer.get_json()
    kit = answer.get_json()
    (run,) = kit["runs"]
    (load,) = run["loads"]
    assert load["length_mm"] == pytest.approx(12 * 48 + 11 * 2 + 20, abs=1e-4)
    assert run["roll"]["width_mm"] == 270
    assert run["roll"]["length_mm"] == load["length_mm"]
    assert run["roll"]["min_length_mm"] <= load["length_mm"] + 1e-6
    assert run["min_loads"] == 1
    left, bottom, right, top = ends(kit, load)
    assert left >= 15 - 1e-6
    assert bottom >= 12 - 1e-6
    assert right <= load["length_mm"] - 5 + 1e-6
    assert top <= 270 - 8 + 1e-6
    assert run["work_area"]["width_mm"] == pytest.approx(load["length_mm"] - 20)
    for file in load["files"]:
        assert file["read_back"]["worst_deviation_mm"] <= 0.03
    plan = next(file for file in load["files"] if file["format"] == "plan")
    box = client.get(plan["href"]).get_json()["work_area"]
    assert box["width_mm"] == pytest.approx(run["work_area"]["width_mm"])


def test_a_roll_that_ends_is_cut_in_several_lengths(client: FlaskClient) -> None:
    # derived: 60 squares are 12 columns of 5, at most 5 on a length; 3 lengths of 4 columns take
    # 4 x 48 + 3 x 2 = 198 mm, with margins 218, and are all alike
    answer = client.post("/v1/layouts", json=asked(length="28 cm"))
    assert answer.status_code == 200, answer.get_json()
    run = answer.get_json()["runs"][0]
    taken = [(round(load["length_mm"], 3), load["repeats"]) for load in run["loads"]]
    assert taken == [(218.0, 3)]
    assert run["roll"]["length_mm"] == pytest.approx(3 * 218)
    assert run["min_loads"] == 3
    assert run["totals"]["A"]["made"] == 60


def test_a_narrower_fabric_and_a_short_piece_of_it_count(client: FlaskClient) -> None:
    body = asked()
    body["runs"][0]["material"] = {"kind": "fabric", "width": 200, "height": 120}
    run = client.post("/v1/layouts", json=body).get_json()["runs"][0]
    # derived: 200 mm less 1 mm at each edge hold 4 rows, 4 x 48 + 3 x 2 = 198; 120 mm hold 2
    # columns, 98 with the margins before and behind them 118
    assert [load["outlines"] for load in run["loads"]] == [{"A": 8}, {"A": 4}]
    assert run["work_area"]["height_mm"] == 198
    assert max(load["length_mm"] for load in run["loads"]) == pytest.approx(118)


def test_the_example_is_laid_out(client: FlaskClient) -> None:
    body = json.loads(EXAMPLE.read_text("utf-8"))
    run = client.post("/v1/layouts", json=body).get_json()["runs"][0]
    assert run["roll"]["width_mm"] == pytest.approx(44 * 25.4)
    assert run["roll"]["min_length_mm"] < run["roll"]["length_mm"] < 3 * 914.4
    assert {piece: each["made"] for piece, each in run["totals"].items()} == {"A": 90, "B": 40}


@pytest.mark.parametrize(
    ("bed", "pointer"),
    [
        ({"shape": "roll", "width": 300, "height": 200}, "height"),
        ({"shape": "roll", "width": 300, "radius": 20}, "radius"),
        ({"shape": "roll", "width": 300, "keep_out": [[[0, 0], [9, 0], [0, 9]]]}, "keep_out"),
        ({"shape": "roll", "width": "0 mm"}, "width"),
        ({"shape": "roll", "width": 300, "length": "-2 m"}, "length"),
        ({"width": 300}, ""),
        ({"width": 300, "height": 200, "length": 900}, "length"),
        ({"shape": "roll"}, ""),
    ],
)
def test_what_a_roll_cannot_have(client: FlaskClient, bed: dict[str, Any], pointer: str) -> None:
    body = asked()
    body["runs"][0]["cutter"]["bed"] = bed
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422, answer.get_json()
    pointers = {error["pointer"] for error in answer.get_json()["errors"]}
    assert pointers == {f"#/runs/0/cutter/bed/{pointer}".rstrip("/")}


def test_margins_that_leave_no_roll_are_refused(client: FlaskClient) -> None:
    answer = client.post("/v1/layouts", json=asked(width=20))
    assert answer.status_code == 422
    assert "roll 20 mm wide" in answer.get_json()["errors"][0]["detail"]


@pytest.mark.parametrize("bed", [{"width": 60}, {"length": 60}])
def test_a_piece_that_no_roll_holds_is_named(client: FlaskClient, bed: dict[str, Any]) -> None:
    # derived: a square of 48 mm fits neither across 60 - 20 mm nor along 60 - 20 mm
    answer = client.post("/v1/layouts", json=asked(**bed))
    assert answer.status_code == 422
    problem = answer.get_json()
    assert problem["type"].endswith("does-not-fit")
    assert problem["piece"] == "A"
    assert problem["short_by_mm"] == pytest.approx(8.0)
    assert problem["largest"]["scale"] == pytest.approx(40 / 48)


def test_a_roll_is_saved_as_a_cutter_and_cut_again(client: FlaskClient) -> None:
    cutter = {"units": "mm", **SQUARES["runs"][0]["cutter"]}
    assert client.put("/v1/cutters/harbour-roll", json=cutter).status_code == 201
    body = asked()
    body["runs"][0]["cutter"] = "harbour-roll"
    kit = client.post("/v1/kits", json=body).get_json()
    again = client.post(
        f"/v1/kits/{kit['id']}/recuts", json={"run": 1, "pieces": {"A": 5}}
    ).get_json()
    assert again["runs"][0]["roll"]["length_mm"] == pytest.approx(48 + 20, abs=1e-4)


@pytest.mark.parametrize(
    ("grain", "turns"),
    [("fixed", {90.0}), ("half-turn", {90.0, 270.0}), ([0, 180], {90.0, 270.0})],
)
def test_the_lengthwise_grain_runs_along_the_roll(
    client: FlaskClient, grain: Any, turns: set[float]
) -> None:
    # common practice, no source: the selvedge runs the length of a bolt, and the lengthwise
    # grain with it; a piece is drawn with its grain up
    body = asked()
    body["pieces"] = [
        {
            "id": "R",
            "shape": {"kind": "rectangle", "width": 25, "height": 150},
            "quantity": 3,
            "grain": grain,
        }
    ]
    kit = client.post("/v1/kits", json=body).get_json()
    placements = kit["runs"][0]["loads"][0]["placements"]
    assert {each["turn_deg"] for each in placements} <= turns
    page = client.get(kit["run_sheet_page"]).get_data(as_text=True)
    assert "along the roll" in page
    assert "up the picture" not in page


def test_the_run_sheet_says_how_much_to_draw_off(client: FlaskClient) -> None:
    kit = client.post("/v1/kits", json=asked()).get_json()
    page = client.get(kit["run_sheet_page"]).get_data(as_text=True)
    length = kit["runs"][0]["roll"]["length_mm"]
    assert f"270 mm wide; draw off {length:g} mm in all" in page
    assert "Work area" not in page
