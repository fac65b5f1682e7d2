"""What a run may request of its layout: stacks, reuse, sets, grain, mirror images, an end."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from service.kits.limits import TimeLimit
from service.tools.built_in import BUILT_IN
from tests import requested
from tests.short_form import short_form

#: An L: its mirror image cannot be turned to lie on it.
HANDED = {"kind": "custom", "points": [[0, 0], [60, 0], [60, 15], [20, 15], [20, 40], [0, 40]]}
EVEN = {"kind": "hexagon", "side": 20}


def asked(pieces: list[dict[str, Any]], **run: Any) -> dict[str, Any]:
    run = {
        "cut": "patch",
        "cutter": "laser-bed",
        "material": {"kind": "card"},
        "formats": ["svg"],
    } | run
    return {"units": "mm", "pieces": pieces, "runs": [run]}


def kit(client: FlaskClient, pieces: list[dict[str, Any]], **run: Any) -> dict[str, Any]:
    answer = client.post("/v1/kits", json=asked(pieces, **run))
    assert answer.status_code == 201, answer.get_json()
    found: dict[str, Any] = answer.get_json()
    return found


PIECES = [
    {"id": "L", "shape": HANDED, "quantity": 30},
    {"id": "H", "shape": EVEN, "quantity": 30},
]


@pytest.mark.without_nester
def test_face_to_face_counts_each_hand(client: FlaskClient) -> None:
    made = kit(client, PIECES, layers=4, stack="face_to_face")
    run = made["runs"][0]
    (load,) = run["loads"]
    # derived: of 4 plies in pairs 2 are mirror images: 15 outlines give 30 good L and 30 mirrored
    # ones; a hexagon is its own mirror image, 8 outlines give 32
    assert load["outlines"] == {"L": 15, "H": 8}
    assert load["pieces"] == {"L": 30, "H": 32}
    assert load["mirrored"] == {"L": 30}
    assert run["totals"]["L"] == {"requested": 30, "made": 30, "spare": 0, "mirrored": 30}
    assert run["totals"]["H"] == {"requested": 30, "made": 32, "spare": 2}
    (warning,) = [text for text in made["warnings"] if "mirrored" in text]
    assert '"L"' in warning
    assert "2 come out mirrored" in warning


def test_an_odd_stack_has_one_ply_more_of_the_drawn_hand(client: FlaskClient) -> None:
    run = kit(client, PIECES[:1], layers=3, stack="face_to_face")["runs"][0]
    assert run["totals"]["L"] == {"requested": 30, "made": 30, "spare": 0, "mirrored": 15}


@pytest.mark.parametrize("how", [{"stack": "face_up"}, {"stack": "face_to_face", "layers": 1}])
def test_no_mirror_images_otherwise(client: FlaskClient, how: dict[str, Any]) -> None:
    made = kit(client, PIECES, **({"layers": 4, "effort": "quick"} | how))
    assert "mirrored" not in made["runs"][0]["loads"][0]
    assert not [text for text in made["warnings"] if "mirrored" in text]


def test_a_piece_that_may_be_mirrored_counts_on_both_hands(client: FlaskClient) -> None:
    made = kit(client, [PIECES[0] | {"mirror": True}], layers=4, stack="face_to_face")
    run = made["runs"][0]
    assert run["totals"]["L"] == {"requested": 30, "made": 32, "spare": 2}
    assert not [text for text in made["warnings"] if "mirrored" in text]


def test_templates_are_reused_and_patches_are_not(client: FlaskClient) -> None:
    pieces = [{"id": "H", "shape": EVEN, "quantity": 84}]
    run = kit(client, pieces, cut="template", reuse=10)["runs"][0]
    # derived: 84 uses of templates that are used 10 times are 9 templates
    assert run["totals"]["H"] == {"requested": 9, "made": 9, "spare": 0, "uses_per_template": 10}
    patches = kit(client, pieces, reuse=10)
    assert patches["runs"][0]["totals"]["H"]["made"] == 84
    assert [text for text in patches["warnings"] if "reuse is for templates" in text]


@pytest.mark.parametrize("grain", ["fixed", "half-turn", [0, 90], [30]])
def test_grain_is_kept(client: FlaskClient, grain: Any) -> None:
    run = kit(client, [PIECES[0] | {"grain": grain, "quantity": 90}])["runs"][0]
    turns = {round(p["turn_deg"] % 360, 6) for load in run["loads"] for p in load["placements"]}
    allowed = {"fixed": {0}, "half-turn": {0, 180}}.get(str(grain)) or set(grain)
    assert turns <= allowed


def test_mirror_images_are_placed_only_where_allowed(client: FlaskClient) -> None:
    def mirrored(allowed: bool) -> bool:
        piece = PIECES[0] | {"grain": "fixed", "quantity": 400, "mirror": allowed}
        run = kit(client, [piece], formats=["plan"])["runs"][0]
        return any(place.get("mirrored") for load in run["loads"] for place in load["placements"])

    assert not mirrored(allowed=False)


def test_a_bound_and_the_gap_to_it(client: FlaskClient) -> None:
    piece = {"id": "S", "shape": {"kind": "square", "side": 95}, "quantity": 50}
    run = kit(client, [piece | {"grain": "fixed"}], gap=1)["runs"][0]
    # derived: 590 x 390 mm hold 6 columns and 4 rows of 95 mm and 1 mm gaps, and no more
    taken = sum(load["repeats"] for load in run["loads"])
    assert run["max_outlines_per_load"] == 24
    assert (run["min_loads"], taken, run["loads_above_min"]) == (3, 3, 0)


def test_whole_sets_say_when_they_do_not_go(client: FlaskClient) -> None:
    pieces = [{"id": "S", "shape": {"kind": "square", "side": 180}, "quantity": 12},
              {"id": "H", "shape": EVEN, "quantity": 1}]  # fmt: skip
    made = kit(client, pieces, sets=True)
    assert [text for text in made["warnings"] if "full set does not fit" in text]
    assert made["runs"][0]["totals"]["S"]["made"] == 12


def test_a_piece_that_cannot_fit_is_named(client: FlaskClient) -> None:
    pieces = [*PIECES, {"id": "big", "shape": {"kind": "square", "side": 500}, "quantity": 1}]
    answer = client.post("/v1/layouts", json=asked(pieces))
    assert answer.status_code == 422
    problem = answer.get_json()
    assert problem["piece"] == "big"
    assert problem["short_by_mm"] == pytest.approx(500 - 390, abs=1.0)
    assert problem["largest"]["scale"] < 0.8


@pytest.mark.parametrize("effort", ["normal", "best", 5])
def test_past_its_deadline_a_kit_has_the_best_so_far(effort: Any) -> None:
    pieces = [{"id": "H", "shape": EVEN, "quantity": 300}, PIECES[0]]
    body = {"title": "Harbour", **asked(pieces, effort=effort)}
    made = requested.kit(body, BUILT_IN.get, limit=TimeLimit(lambda _: True)).answer
    assert made["complete"] is False
    totals = made["runs"][0]["totals"]
    assert {piece: each["made"] for piece, each in totals.items()} == {"H": 300, "L": 30}


# Few seconds, which are counted steps: the service's own limit is far even on a busy machine.
@pytest.mark.parametrize("effort", short_form(["quick", "normal", 4], ["quick", "normal"]))
def test_one_seed_gives_one_answer(client: FlaskClient, effort: Any) -> None:
    body = asked([{"id": "S", "shape": {"kind": "square", "side": 60}, "quantity": 500}])
    body["runs"][0] |= {"effort": effort, "seed": 5, "cutter": {
        "tool": {"kind": "pen"}, "bed": {"width": 215, "height": 215}}}  # fmt: skip
    once, again = (client.post("/v1/layouts", json=body).get_json() for _ in range(2))
    assert once["complete"]
    assert once["runs"] == again["runs"]


def test_ties_on_a_die_are_told_not_to_be_heeded(client: FlaskClient) -> None:
    pieces = [{"id": "H", "shape": EVEN, "quantity": 2}]
    warnings = kit(client, pieces, cutter="die-board", ties={"count": 6})["warnings"]
    assert any("ties are not used here" in text for text in warnings)
    assert not any("ties" in text for text in kit(client, pieces, cutter="die-board")["warnings"])


@pytest.mark.parametrize(
    ("tool", "head", "is_warned"),
    [
        ({"kind": "laser", "kerf": 0.2}, {"head": "laser", "power": 300}, False),
        ({"kind": "laser", "kerf": 0.2}, {"head": "knife", "depth_mm": -1}, True),
        ({"kind": "drag_blade", "offset": 0.25}, {"head": "laser", "power": 300}, True),
        ({"kind": "drag_blade", "offset": 0.25}, {"head": "knife", "depth_mm": -1}, False),
    ],
)
def test_gcode_for_another_head_than_the_tool_is_told(
    client: FlaskClient, tool: dict[str, Any], head: dict[str, Any], *, is_warned: bool
) -> None:
    cutter = {
        "tool": tool,
        "bed": {"width": 300, "height": 300},
        "formats": {"gcode": head | {"feed_mm_min": 600}},
    }
    pieces = [{"id": "H", "shape": EVEN, "quantity": 2}]
    warnings = kit(client, pieces, cutter=cutter, formats=["gcode"])["warnings"]
    assert any("Make sure before the machine moves" in text for text in warnings) == is_warned
