"""Quilt plans, yardage and finishing over HTTP."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest
from flask.testing import FlaskClient

from geometry.planning.tilings import TILINGS
from geometry.units import MM_PER_INCH as INCH
from tests.short_form import short_form

SMALL = {"width": "10", "length": "12"}
SIZES = {"side": "2", "width": "4", "height": "3", "length": "5"}


def plan_of(tiling: str, **more: Any) -> dict[str, Any]:
    sizes = {name: SIZES[name] for name in TILINGS[tiling].sizes}
    quilt = {"width": "20", "length": "24"}
    return {"units": "in", "tiling": tiling, **sizes, "quilt": quilt, **more}


def test_the_quilt_of_four_inch_hexagons(client: FlaskClient) -> None:
    body = {
        "units": "in",
        "tiling": "hexagon",
        "side": "4",
        "quilt": {"width": "90", "length": "90"},
        "edge": {"sides": "filled", "ends": "whole"},
    }
    response = client.post("/v1/quilt-plans", json=body)
    assert response.status_code == 200
    plan = response.get_json()
    # derived: 8 rows of 13 and 7 rows of 12 with two halves (a published plan has 184 + 14)
    assert [(each["part"], each["quantity"]) for each in plan["pieces"]] == [
        ("whole", 188),
        ("half", 14),
    ]
    assert plan["assembled"]["width_mm"] == pytest.approx(90.0666 * INCH, abs=0.01)
    assert plan["assembled"]["length_mm"] == pytest.approx(92 * INCH)
    assert plan["pieces"][1]["shape"] == {"kind": "half_hexagon", "side": "4"}
    assert plan["kit"]["pieces"][0]["quantity"] == 188
    assert plan["picture"].startswith("<svg ")


def test_one_word_sets_both_edges(client: FlaskClient) -> None:
    apart = {"sides": "filled", "ends": "filled"}
    bodies = [plan_of("half_hexagon", edge=edge, quilt=SMALL) for edge in ("filled", apart)]
    one, other = (client.post("/v1/quilt-plans", json=body).get_json() for body in bodies)
    assert one == other


#: One of each sort: straight rows, rows of points, two kinds, stars, and rows on their side. Arcs
#: are counted in tests/property/test_planning_counts.py.
SHORT = {
    ("rectangle", "upright"), ("rectangle", "on_side"), ("hexagon", "upright"),
    ("half_hexagon", "on_side"), ("lone_star", "upright"),
}  # fmt: skip
EVERY_WAY = [(tiling, direction) for tiling in TILINGS for direction in ("upright", "on_side")]


@pytest.mark.parametrize(("tiling", "direction"), short_form(EVERY_WAY, SHORT))
def test_the_kit_of_a_plan_can_be_laid_out(
    client: FlaskClient, tiling: str, direction: str
) -> None:
    body = plan_of(tiling, edge="filled", direction=direction, quilt=SMALL)
    plan = client.post("/v1/quilt-plans", json=body).get_json()
    outlines = {"units": plan["kit"]["units"], "pieces": plan["kit"]["pieces"]}
    made = client.post("/v1/outlines", json=outlines)
    assert made.status_code == 200, made.get_json()
    # What is sewn together is what was planned: finished areas fill the quilt.
    areas = {each["id"]: each["template"]["area_mm2"] for each in made.get_json()["pieces"]}
    counts = {each["id"]: each["quantity"] for each in plan["pieces"]}
    size = plan["assembled"]
    assert sum(areas[name] * counts[name] for name in areas) == pytest.approx(
        size["width_mm"] * size["length_mm"], rel=1e-6
    )
    if direction == "on_side":
        return
    # Whether it can be laid out does not depend on how many there are, only the time does.
    few = [{**piece, "quantity": 1} for piece in plan["kit"]["pieces"]]
    runs = [{**run, "effort": "quick"} for run in plan["kit"]["runs"]]
    laid = client.post("/v1/layouts", json={**plan["kit"], "pieces": few, "runs": runs})
    assert laid.status_code == 200, laid.get_data(as_text=True)[:300]


def test_pieces_too_large_for_the_usual_sheet_get_a_larger_one(client: FlaskClient) -> None:
    body = {**plan_of("square"), "side": "15", "quilt": {"width": "30", "length": "30"}}
    kit = client.post("/v1/quilt-plans", json=body).get_json()["kit"]
    assert kit["runs"][0]["cutter"]["tool"] == {"kind": "pen"}
    assert client.post("/v1/layouts", json=kit).status_code == 200


def test_the_picture_is_well_formed_whatever_colours_are_called(client: FlaskClient) -> None:
    names = ['<b>&"red"', "blue's"]
    body = plan_of("hexagon", colours={"by": "rows", "names": names})
    plan = client.post("/v1/quilt-plans", json=body).get_json()
    root = ET.fromstring(plan["picture"])  # noqa: S314 - our own text
    every = root.findall(".//{http://www.w3.org/2000/svg}use")
    uses = [each for each in every if each.get("href", "").startswith("#kind-")]
    assert len(uses) == plan["totals"]["pieces"] == sum(plan["colours"].values())
    assert list(plan["colours"]) == names


def test_a_list_colours_every_piece(client: FlaskClient) -> None:
    body = plan_of("square", colours={"by": "list", "names": ["a", "b"] * 60})
    assert client.post("/v1/quilt-plans", json=body).get_json()["colours"] == {"a": 60, "b": 60}
    body["colours"]["names"] = ["a"]
    fault = client.post("/v1/quilt-plans", json=body)
    assert fault.status_code == 422
    assert "120 pieces" in fault.get_json()["errors"][0]["detail"]


def test_a_bed_shows_what_it_was_reckoned_from(client: FlaskClient) -> None:
    body = {**plan_of("square"), "quilt": {"bed": "queen", "tuck": "10"}}
    quilt = client.post("/v1/quilt-plans", json=body).get_json()["quilt"]
    assert quilt["width_mm"] == pytest.approx((60 + 24) * INCH)
    assert quilt["length_mm"] == pytest.approx((80 + 12 + 10) * INCH)
    assert quilt["bed"]["drop_mm"] == pytest.approx(12 * INCH)
    body["quilt"] |= {"mattress_width": "61", "drop": "8"}
    quilt = client.post("/v1/quilt-plans", json=body).get_json()["quilt"]
    assert quilt["width_mm"] == pytest.approx((61 + 16) * INCH)


def test_a_class_of_twelve_buys_for_twelve(client: FlaskClient) -> None:
    prices = {"fabric": 2.0, "sheet": 0.5}
    one = client.post("/v1/quilt-plans", json=plan_of("square", prices=prices)).get_json()
    many = client.post("/v1/quilt-plans", json=plan_of("square", prices=prices, kits=12)).get_json()
    assert many["kit"]["copies"] == 12
    assert many["kit"]["pieces"] == one["kit"]["pieces"]
    rows = [each["materials"]["fabrics"][0]["rows"] for each in (one, many)]
    assert 11 * rows[0] < rows[1] <= 12 * rows[0]
    assert many["cost"]["per_kit"] <= one["cost"]["total"]
    assert many["materials"]["binding"] == one["materials"]["binding"]


def test_templates_used_again_take_fewer_sheets(client: FlaskClient) -> None:
    once = client.post("/v1/quilt-plans", json=plan_of("hexagon")).get_json()
    thrice = client.post("/v1/quilt-plans", json=plan_of("hexagon", paper={"reuse": 3})).get_json()
    pieces = once["totals"]["pieces"]
    assert once["materials"]["paper"]["templates"] == pieces
    assert thrice["materials"]["paper"]["templates"] == -(-pieces // 3)
    assert thrice["materials"]["paper"]["sheets"] < once["materials"]["paper"]["sheets"]


def test_yardage_as_published(client: FlaskClient) -> None:
    # published: an extension service's worked example: 13 a row, 24 rows, 48 in, buy 1 1/2 yd
    body = {
        "units": "in",
        "pieces": [{"width": "3", "length": "2", "quantity": 300}],
        "fabric": {"width": "40", "step": "1/2 yd"},
    }
    (found,) = client.post("/v1/yardage", json=body).get_json()["fabrics"]
    assert (found["per_row"], found["rows"]) == (13, 24)
    assert found["length_mm"] == pytest.approx(48 * INCH)
    assert found["buy_mm"] == pytest.approx(54 * INCH)
    assert found["buy"] == "1 1/2 yd"
    assert found["unused_mm"] == pytest.approx(6 * INCH)


def test_yardage_of_a_shape_is_of_its_patch(client: FlaskClient) -> None:
    piece = {"shape": {"kind": "hexagon", "side": "1"}, "seam_allowance": "1/4", "quantity": 10}
    response = client.post("/v1/yardage", json={"units": "in", "pieces": [piece]}).get_json()
    (row,) = response["fabrics"][0]["pieces"]
    # derived: 2s + 2.3094a across corners, sqrt(3) s + 2a across flats
    assert row["width_mm"] == pytest.approx(2.577350 * INCH, abs=1e-4)
    assert row["length_mm"] == pytest.approx(2.232051 * INCH, abs=1e-4)


def test_yardage_in_metres(client: FlaskClient) -> None:
    body = {
        "units": "cm",
        "pieces": [{"width": "10", "length": "10", "quantity": 25}],
        "fabric": {"width": "110", "step": "0.25 m"},
    }
    (found,) = client.post("/v1/yardage", json=body).get_json()["fabrics"]
    # derived: 11 a row, 3 rows, 30 cm, up to half a metre
    assert (found["per_row"], found["rows"], found["buy"]) == (11, 3, "0.5 m")


def test_pre_cut_pieces(client: FlaskClient) -> None:
    # published: a fat quarter of 18 x 22 in holds 56 squares of 2 1/2 in
    body = {
        "units": "in",
        "pieces": [{"width": "2 1/2", "length": "2 1/2", "quantity": 100}],
        "fabric": {"pre_cut": "fat_quarter"},
    }
    (found,) = client.post("/v1/yardage", json=body).get_json()["fabrics"]
    assert (found["pre_cuts"], found["pieces"][0]["pieces_per_pre_cut"]) == (2, 56)
    assert found["pieces"][0]["spare"] == 12


def test_finishing_as_published(client: FlaskClient) -> None:
    # published: 66 x 58 takes 268 in of binding, 7 strips; backing 4 in more on each side
    body = {
        "units": "in",
        "quilt": {"width": "66", "length": "58"},
        "binding": {"strip": "2 1/2", "usable_width": "40", "extra": "20"},
        "backing": {"extra_each_side": "4"},
    }
    response = client.post("/v1/finishing", json=body).get_json()
    assert response["binding"]["strips"] == 7
    assert response["binding"]["length_mm"] == pytest.approx(268 * INCH)
    assert response["backing"]["width_mm"] == pytest.approx(74 * INCH)
    assert response["backing"]["panels"] == 2


REFUSED = [
    ("quilt-plans", {"tiling": "hexagon", "quilt": {"width": "9 in", "length": "9 in"}}, "#"),
    ("quilt-plans", plan_of("hexagon", width="3"), "#/width"),
    ("quilt-plans", plan_of("hexagon", side="0"), "#/side"),
    ("quilt-plans", plan_of("square", side="0.12", quilt={"width": "40", "length": "40"}), ""),
    ("quilt-plans", plan_of("square", quilt={"width": "900 m", "length": "900 m"}), ""),
    ("quilt-plans", plan_of("hexagon", quilt={"width": "-1", "length": "9"}), "#/quilt/width"),
    ("quilt-plans", plan_of("hexagon", quilt={"drop": "3"}), "#/quilt/drop"),
    ("quilt-plans", plan_of("hexagon", quilt={"bed": "hammock"}), "#/quilt/bed"),
    ("quilt-plans", plan_of("hexagon", edge="ragged"), "#/edge"),
    ("quilt-plans", plan_of("hexagon", edge={"top": "whole"}), "#/edge/top"),
    ("quilt-plans", plan_of("hexagon", colours={"by": "rows"}), "#/colours"),
    ("quilt-plans", plan_of("hexagon", colours={"names": ["a", "b"]}), "#/colours/names"),
    ("quilt-plans", plan_of("clamshell", seam_allowance="3"), "#/seam_allowance"),
    ("quilt-plans", plan_of("hexagon", fabric={"width": "1"}), "#/fabric"),
    ("quilt-plans", plan_of("hexagon", paper={"width": "8"}), "#/paper/width"),
    ("quilt-plans", plan_of("hexagon", backing={"join_seam": "25"}), "#/backing"),
    ("yardage", {"units": "in", "pieces": [{"quantity": 3}]}, "#/pieces/0"),
    (
        "yardage",
        {"units": "in", "pieces": [{"width": "50", "length": "1", "quantity": 1}]},
        "#/pieces/0",
    ),
    ("yardage", {"pieces": [{"width": "5", "length": "1 in", "quantity": 1}]}, "#/pieces/0/width"),
    (
        "yardage",
        {"units": "in", "pieces": [{"width": "5", "length": "0", "quantity": 1}]},
        "#/pieces/0/length",
    ),
    ("yardage", {"units": "in", "pieces": []}, "#/pieces"),
    (
        "yardage",
        {
            "units": "in",
            "pieces": [{"width": "5", "length": "1", "quantity": 1}],
            "fabric": {"step": "0"},
        },
        "#/fabric/step",
    ),
    ("finishing", {"units": "in", "quilt": {"width": "4"}}, "#/quilt"),
    ("finishing", {"quilt": {"bed": "twin"}, "binding": {"strip": "0 in"}}, "#/binding/strip"),
]


@pytest.mark.parametrize(("path", "body", "pointer"), REFUSED)
def test_what_cannot_be_planned_is_told(
    client: FlaskClient, path: str, body: dict[str, Any], pointer: str
) -> None:
    response = client.post(f"/v1/{path}", json=body)
    assert response.status_code == 422, response.get_data(as_text=True)[:300]
    assert response.mimetype == "application/problem+json"
    if pointer:
        assert any(each["pointer"].startswith(pointer) for each in response.get_json()["errors"])


@pytest.mark.long
def test_plans_are_the_same_every_time(client: FlaskClient) -> None:
    body = plan_of("half_hexagon", edge="filled", quilt=SMALL)
    first, second = (client.post("/v1/quilt-plans", json=body).data for _ in range(2))
    assert first == second


@pytest.mark.parametrize("side", ["500", "0.001"])
def test_a_patch_no_quilt_holds_is_refused(client: FlaskClient, side: str) -> None:
    body = {
        "units": "in",
        "tiling": "octagon_square",
        "side": side,
        "quilt": {"width": "40", "length": "50"},
    }
    answer = client.post("/v1/quilt-plans", json=body)
    assert answer.status_code == 422
    assert answer.get_json()["errors"][0]["pointer"] == "#/side"
