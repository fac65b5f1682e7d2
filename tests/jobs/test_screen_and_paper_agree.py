"""One figure for screen and paper: steps, time and cloth to buy, each stated by the answer.

By hand, on a laser's bed of 15 in by 11 1/2 in: 30 patches of 3 1/2 in, four layers at once, are 8
outlines, one load. Of a beam's stack somebody answers for it first, then it is laid in, and hands
reach in last: three steps. Cloth for four layers: four pieces of 15 in by 11 1/2 in, two side by
side on 40 in (handbook S50, S52), two rows, 23 in = 0.639 yd: 3/4 yd.

On a roll of 20 in lie three patches of 5 1/2 in side by side, 5 1/2 in of it with less than 1 in at
its ends. The test's spare piece has 12 mm of room on each side, 163.7 mm (common practice, no
source). Together 12 in to 13 in of 36: 3/8 yd, sold by the eighth of a yard (common practice, no
source).
"""

from __future__ import annotations

import html

from service import kits
from service.kits.limits import TimeLimit
from service.requests.kits import KitRequestSchema
from tests.jobs.studio import Json, Studio

STACK: Json = {
    "title": "Ferry squares",
    "units": "in",
    "pieces": [
        {
            "id": "S",
            "shape": {"kind": "square", "side": "3"},
            "quantity": 30,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"width": "15 in", "height": "11.5 in"},
            },
            "material": {"name": "red", "kind": "fabric"},
            "layers": 4,
            "gap": "0.1 in",
            "effort": "quick",
        }
    ],
}


def test_a_load_states_its_steps_as_the_sheet_prints_them(studio: Studio) -> None:
    (preview,) = studio.calculated("/v1/layouts", STACK)["runs"][0]["loads"]
    leave, _load, reach_in = preview["steps"]
    assert leave.endswith("and cut this load 4 times as often.")
    assert reach_in.startswith("Beam off, nothing glowing, fumes drawn off: open the lid")
    kit = studio.kit(STACK)
    (load,) = kit.payload["runs"][0]["loads"]
    assert load["steps"] == preview["steps"]
    assert load["halt"] == "none"
    page = studio.client.get(kit.payload["run_sheet_page"]).get_data(as_text=True)
    sheet = html.unescape(page)
    assert all(each in sheet for each in load["steps"])
    assert f"About {load['estimated']}." in sheet
    assert f"about {kit.payload['totals']['estimated']}, without preparing" in sheet


def test_what_calls_for_nothing_is_a_note(studio: Studio) -> None:
    """That pieces stay inside the beam's reach changes nothing at the bench; a stack does."""
    answer = studio.calculated("/v1/layouts", STACK)
    (note,) = answer["notes"]
    assert "Pieces stay" in note
    assert note in answer["warnings"]
    assert len(answer["warnings"]) > 1


def test_a_piece_that_is_there_is_not_bought_again(studio: Studio) -> None:
    kit = studio.kit(STACK)
    assert kit.payload["runs"][0]["cloth"]["buy"] == "3/4 yd"
    assert "cloth" in studio.recut(kit, 1, {"S": 2}).payload["runs"][0]
    scrap = {"name": "red", "kind": "fabric", "width": "8", "height": "8"}
    again = studio.recut(kit, 1, {"S": 2}, layers=1, material=scrap).payload
    assert "cloth" not in again["runs"][0]
    assert again["title"] == "Recut, 2 of S: Ferry squares"
    sheet = studio.client.get(again["run_sheet_page"]).get_data(as_text=True)
    assert "To buy" not in sheet


def test_a_roll_of_cloth_says_what_to_buy_of_it(studio: Studio) -> None:
    piece = {**STACK["pieces"][0], "shape": {"kind": "square", "side": "5"}, "quantity": 3}
    cutter = {
        "tool": {"kind": "drag_blade", "offset": "0.25 mm"},
        "bed": {"shape": "roll", "width": 20},
    }
    run = {"cut": "patch", "cutter": cutter, "material": {"name": "red", "kind": "fabric"}}
    kit = studio.kit({**STACK, "pieces": [piece], "runs": [run]})
    assert kit.payload["runs"][0]["roll"]["buy"] == "3/8 yd"
    sheet = studio.client.get(kit.payload["run_sheet_page"]).get_data(as_text=True)
    assert "To buy: 3/8 yd of cloth 20 in wide." in sheet
    card = {**run, "material": {"name": "card", "kind": "card"}}
    (laid,) = studio.calculated("/v1/layouts", {**STACK, "pieces": [piece], "runs": [card]})["runs"]
    assert "buy" not in laid["roll"]


def test_a_search_that_was_cut_short_can_be_told_to_go_on() -> None:
    """Where no time is left, what a longer search may save is a note with a change of the effort.

    What was searched longest already is not offered again.
    """
    hexagons = [
        {"id": f"H{n}", "shape": {"kind": "hexagon", "side": f"{2 + n / 4}"}, "quantity": 5}
        for n in range(6)
    ]
    for effort, changes in (("normal", [("/runs/0/effort", "best")]), ("best", [])):
        run = {**STACK["runs"][0], "layers": 1, "effort": effort, "material": {"kind": "card"}}
        request = KitRequestSchema().load({**STACK, "pieces": hexagons, "runs": [run]})
        late = TimeLimit(lambda _share: True)
        answer = kits.layouts(request, nester=None, limit=late).answer
        (said,) = [each for each in answer.notes or () if "cut short" in each]
        assert said in answer.warnings
        found = [each.cure for each in answer.cures or () if each.warning == said]
        assert [(one.path, one.value) for each in found for one in each.changes] == changes
