"""A sheet slipped in the machine: its load is cut again as it lay, and the work goes on."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Json, Kit, Studio

REQUEST: Json = {
    "title": "Mooring papers",
    "units": "in",
    "pieces": [
        {"id": "H", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 27},
        {"id": "K", "shape": {"kind": "square", "side": "1 1/2"}, "quantity": 5},
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"width": "6 in", "height": "6 in"},
            },
            "material": {"name": "card", "kind": "card"},
            "formats": ["svg", "plan"],
            "effort": "quick",
        }
    ],
}


@pytest.fixture(scope="module")
def kit(studio: Studio) -> Kit:
    pieces = [{**piece, "seam_allowance": "1/4"} for piece in REQUEST["pieces"]]
    return studio.kit({**REQUEST, "pieces": pieces})


def again(studio: Studio, kit: Kit, body: Json) -> Json:
    answer = studio.client.post(f"/v1/kits/{kit.payload['id']}/recuts", json={"run": 1, **body})
    assert answer.status_code == 201, answer.text
    made: Json = answer.get_json()
    return made


def test_a_load_is_cut_again_as_it_lay(studio: Studio, kit: Kit) -> None:
    """The last load, once: the same placements to the last digit, nothing to spare.

    Its cut lines are those of the first kit's file, as shapely reads both plans.
    """
    last = kit.run().loads[-1]
    made = again(studio, kit, {"loads": {str(last.number): 1}})
    (run,) = made["runs"]
    (load,) = run["loads"]
    assert load["placements"] == last.payload["placements"]
    assert (load["number"], load["repeats"]) == (1, 1)
    assert {piece: each["made"] for piece, each in run["totals"].items()} == last.pieces
    assert {each["spare"] for each in run["totals"].values()} == {0}
    plans = [
        studio.client.get(each["href"]).data
        for payload in (last.payload, load)
        for each in payload["files"]
        if each["format"] == "plan"
    ]
    then, now = (foreign.cells(foreign.plan(data)) for data in plans)
    assert len(then) == len(now) == sum(last.outlines.values())
    for cell in then:
        assert min(cell.symmetric_difference(other).area for other in now) < 1e-6
    assert any(f"load {last.number}" in text for text in made["warnings"])
    # Another load of as many pieces has another number.
    twice = again(studio, kit, {"loads": {str(last.number): 2}})
    assert twice["number"] != made["number"]
    assert twice["runs"][0]["loads"][0]["repeats"] == 2


def test_the_work_goes_on_from_a_load(studio: Studio, kit: Kit) -> None:
    """From load 2 on: the kit's pieces less those of load 1, times its repeats."""
    first, *others = kit.run().loads
    assert others, "27 hexagons do not fit 6 x 6 in at once: each covers 2.6 in2, 70 in2 in all"
    made = again(studio, kit, {"from_load": 2})
    (run,) = made["runs"]
    assert [(each["placements"], each["repeats"]) for each in run["loads"]] == [
        (load.payload["placements"], load.repeats) for load in others
    ]
    for piece in ("H", "K"):
        all_made = kit.run().total(piece)[1]
        before = first.pieces.get(piece, 0) * first.repeats
        assert run["totals"].get(piece, {"made": 0})["made"] == all_made - before


def test_several_loads_say_which_is_which(studio: Studio, kit: Kit) -> None:
    """The first and the last load once more are loads 1 and 2 of the recut, in that order."""
    first, last = kit.run().loads[0], kit.run().loads[-1]
    made = again(studio, kit, {"loads": {str(last.number): 1, str(first.number): 1}})
    assert [each["placements"] for each in made["runs"][0]["loads"]] == [
        first.payload["placements"],
        last.payload["placements"],
    ]
    said = f"Loads 1 to 2 here are loads {first.number}, {last.number} of the first kit"
    assert any(said in text for text in made["warnings"]), made["warnings"]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "#"),
        ({"pieces": {"H": 1}, "from_load": 2}, "#"),
        ({"loads": {"99": 1}}, "#/loads/99"),
        ({"loads": {"one": 1}}, "#/loads/one"),
        ({"loads": {"1": 0}}, "#/loads/1"),
        ({"loads": {}}, "#/loads"),
        ({"from_load": 99}, "#/from_load"),
        ({"from_load": 1, "layers": 2}, "#/layers"),
        ({"from_load": 1, "material": {"name": "scrap", "kind": "card"}}, "#/material"),
        ({"loads": {"1": 1}, "run": 7}, "#/run"),
    ],
)
def test_loads_that_there_are_not_are_refused(
    studio: Studio, kit: Kit, body: Json, pointer: str
) -> None:
    address = f"/v1/kits/{kit.payload['id']}/recuts"
    refused = studio.client.post(address, json={"run": 1, **body})
    assert refused.status_code == 422, refused.text
    assert pointer in [each["pointer"] for each in refused.get_json()["errors"]]


@pytest.mark.parametrize(
    "body",
    [{"pieces": {"a": 1}, "from_load": 1}, {"loads": {"1": 1}, "from_load": 1}, {"loads": {}}, {}],
)
def test_a_choice_of_which_each_part_fits_is_no_mismatch_of_the_schema(
    studio: Studio, kit: Kit, body: Json
) -> None:
    # The document states each member's type; which of them go together it says in words.
    refused = studio.client.post(f"/v1/kits/{kit.payload['id']}/recuts", json={"run": 1, **body})
    assert refused.status_code == 422, refused.text
    assert refused.get_json()["type"] == "/problems#invalid-request"
