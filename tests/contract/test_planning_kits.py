"""The results of a quilt plan: a kit that is made as it is, prices, times, the list of tilings."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from geometry.planning.tilings import TILINGS
from geometry.units import MM_PER_INCH as INCH
from tests.short_form import short_form

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples"


def small_plan(tiling: str, **more: Any) -> dict[str, Any]:
    sizes = dict.fromkeys(TILINGS[tiling].sizes, "2")
    return {
        "units": "in",
        "tiling": tiling,
        **sizes,
        "quilt": {"width": "5", "length": "5"},
        **more,
    }


#: Rows, rows of points, stars with what fills their blocks, blocks of one kind; one as it is. That
#: the kits of others can be laid out is seen in test_planning_quilts.py.
SHORT = {
    ("square", "quick"), ("square", None), ("hexagon", "quick"), ("eight_point_star", "quick"),
    ("tumbling_blocks", "quick"),
}  # fmt: skip
EVERY_WAY = [(tiling, effort) for tiling in TILINGS for effort in ("quick", None)]


@pytest.mark.parametrize(("tiling", "effort"), short_form(EVERY_WAY, SHORT))
def test_the_kit_of_a_plan_is_made_as_it_is(
    client: FlaskClient, fits: Callable[[Any, str], None], tiling: str, effort: str | None
) -> None:
    planned = client.post("/v1/quilt-plans", json=small_plan(tiling, edge="filled"))
    assert planned.status_code == 200, planned.get_data(as_text=True)
    plan = planned.get_json()
    fits(plan, "QuiltPlanAnswer")
    if effort is not None:
        plan["kit"]["runs"] = [{**run, "effort": effort} for run in plan["kit"]["runs"]]
    made = client.post("/v1/kits", json=plan["kit"])
    assert made.status_code == 201, made.get_data(as_text=True)
    kit = made.get_json()
    wanted = {each["id"]: each["quantity"] for each in plan["pieces"]}
    # Papers and patches: each kind of piece as often as it is in the quilt, in its own colour.
    # Equal papers of two colours are one heap, which says how many are for each.
    for run in (kit["runs"][:1], kit["runs"][1:]):
        totals: dict[str, int] = {}
        for each in run:
            for name, total in each["totals"].items():
                alone = {name: {"needed": total["requested"]}}
                for piece, portion in total.get("per_copy", alone).items():
                    totals[piece] = totals.get(piece, 0) + portion["needed"]
        assert totals == wanted
    colours = [each["material"]["name"] for each in kit["request"]["runs"][1:]]
    assert set(colours) == set(plan["colours"])


def test_colours_of_any_name_come_through_to_the_kit(client: FlaskClient) -> None:
    names = ["<tide> & blue", 'the "rust"', "Sägemehl/☂"]
    body = small_plan("square", colours={"by": "repeat", "names": names, "shift": 1})
    plan = client.post("/v1/quilt-plans", json=body).get_json()
    made = client.post("/v1/kits", json=plan["kit"])
    assert made.status_code == 201, made.get_data(as_text=True)
    runs = made.get_json()["request"]["runs"][1:]
    assert sorted(each["material"]["name"] for each in runs) == sorted(names)


def test_a_plan_whose_kit_would_be_refused_is_refused(client: FlaskClient) -> None:
    body = small_plan("square", side="1/4", quilt={"width": "30", "length": "30"}, kits=1000)
    response = client.post("/v1/quilt-plans", json=body | {"seam_allowance": "1/8"})
    assert response.status_code == 422
    (fault,) = response.get_json()["errors"]
    assert fault["pointer"] == "#/kits"
    assert "14,400,000" in fault["detail"]


def test_tilings_are_listed_with_what_sizes_them(
    client: FlaskClient, fits: Callable[[Any, str], None]
) -> None:
    listed = client.get("/v1/tilings").get_json()
    fits(listed, "TilingList")
    found = {each["name"]: each for each in listed["tilings"]}
    assert set(found) == set(TILINGS)
    assert list(found["rectangle"]["sizes"]) == ["width", "height"]
    assert found["six_point_star"]["kinds"] == ["diamond_60"]
    assert found["hexagon_flower"]["counts"]["path"] == {"minimum": 0, "maximum": 6, "default": 1}
    # Every kind is one that the catalogue knows.
    for each in found.values():
        for kind in each["kinds"]:
            assert client.get(f"/v1/shapes/{kind}").status_code == 200


@pytest.mark.parametrize(
    ("name", "path", "component"),
    [
        ("harbour-quilt", "quilt-plans", "QuiltPlanAnswer"),
        ("harbour-yardage", "yardage", "YardageAnswer"),
        ("harbour-finishing", "finishing", "FinishingAnswer"),
    ],
)
def test_examples_are_answered_as_documented(
    client: FlaskClient, fits: Callable[[Any, str], None], name: str, path: str, component: str
) -> None:
    body = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    response = client.post(f"/v1/{path}", json=body)
    assert response.status_code == 200, response.get_data(as_text=True)
    fits(response.get_json(), component)


def test_edges_say_how_full_they_are(client: FlaskClient) -> None:
    plan = client.post("/v1/quilt-plans", json=small_plan("hexagon")).get_json()
    # derived: rows of hexagons on their points leave every other half column open, and
    # triangles between the points
    sides, ends = plan["edge"]["sides"], plan["edge"]["ends"]
    assert (sides["straight"], sides["fullness"]) == (False, 0.5)
    assert sides["dents_mm"] == pytest.approx(3**0.5 * INCH)
    assert (ends["straight"], ends["fullness"]) == (False, 0.5)
    plan = client.post("/v1/quilt-plans", json=small_plan("hexagon", edge="filled")).get_json()
    assert plan["edge"]["sides"] == plan["edge"]["sides"] | {
        "straight": True,
        "fullness": 1.0,
        "dents_mm": 0.0,
    }


def test_cost_and_time_of_a_class(client: FlaskClient) -> None:
    body = small_plan(
        "square",
        quilt={"width": "40", "length": "40"},
        seam_allowance="1/4",
        kits=3,
        prices={"fabric": 2.5, "sheet": 0.2},
        speeds={"pieces_per_hour": 40, "stitches_per_minute": 12},
        stitches_per_inch=10,
    )
    plan = client.post("/v1/quilt-plans", json=body).get_json()
    # derived: 20 x 20 squares; 1200 of 2 1/2 in, 16 a row of 40 in, 75 rows, 187 1/2 in are
    # 41 2/3 eighths of a yard, so 42. Binding each: 170 in, 5 strips, 12 1/2 in; for three, cut
    # from one length, 37 1/2 in, 9 eighths. Backing each: 48 in square, 2 panels, 96 in; for three
    # 288 in, 64 eighths.
    assert plan["cost"]["fabric"] == pytest.approx((42 + 9 + 64) * 2.5)
    sheets = plan["materials"]["paper"]["sheets"]
    assert plan["cost"]["paper"] == pytest.approx(sheets * 0.2)
    total = plan["cost"]["fabric"] + plan["cost"]["paper"]
    assert plan["cost"]["total"] == pytest.approx(total, abs=0.005)
    assert plan["cost"]["per_kit"] == pytest.approx(total / 3, abs=0.005)
    # derived: 2 x 20 x 19 seams of 2 in, 10 stitches to the inch
    assert plan["seams"]["stitches"] == 760 * 20
    assert plan["time"]["basting_s"] == pytest.approx(400 / 40 * 3600)
    assert plan["time"]["sewing_s"] == pytest.approx(15200 / 12 * 60)
    assert plan["time"]["total_s"] == pytest.approx(3 * plan["time"]["per_kit_s"])


def test_pre_cut_fabric_has_a_price_of_its_own(client: FlaskClient) -> None:
    body = small_plan("square", fabric={"pre_cut": "fat_quarter"}, prices={"fabric": 2.5})
    response = client.post("/v1/quilt-plans", json=body)
    assert response.status_code == 422
    assert [each["pointer"] for each in response.get_json()["errors"]] == ["#/prices"]
    body["prices"]["pre_cut"] = 3.0
    plan = client.post("/v1/quilt-plans", json=body).get_json()
    # derived: 3 x 3 squares of 2 1/2 in; 56 come of one fat quarter
    assert plan["cost"]["pre_cuts"] == 3.0
    body["fabric"] = {}
    response = client.post("/v1/quilt-plans", json=body)
    assert [each["pointer"] for each in response.get_json()["errors"]] == ["#/prices/pre_cut"]


def test_a_fabric_too_narrow_is_named_once_for_each_size(client: FlaskClient) -> None:
    """Hexagons of five colours do not go across 60 mm; one line says so, not one for each."""
    plan = small_plan(
        "hexagon",
        side="1 1/2",
        quilt={"width": "20", "length": "20"},
        colours={"by": "rows", "names": ["lamp", "tide", "sail", "rust", "fog"]},
        seam_allowance="1/4",
        fabric={"width": "60 mm"},
    )
    answer = client.post("/v1/quilt-plans", json=plan)
    assert answer.status_code == 422
    faults = [(each["pointer"], each["detail"]) for each in answer.get_json()["errors"]]
    assert len(faults) == len(set(faults))
    # derived: between its flats a hexagon of 1 1/2 in measures 2.598 in, with its allowance 3.098
    assert (
        "#/fabric",
        "A piece 3.098 in wide does not fit across fabric that is 2.3622 in wide.",
    ) in faults
