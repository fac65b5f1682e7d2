"""How much cloth a kit takes: its pieces of material in rows across the cloth's width.

Each load of each layer is one piece of cloth. A usable width of 40 in is what to calculate with
where nobody states one (handbook S50, S52). Lengths are sold by the eighth of a yard or the tenth
of a metre; straightening the cloth's end takes 1 in; the test takes one more piece for each layer,
with 12 mm of room on each side (common practice, no source).

By hand, on the mat of 12 in, whose margins of 1/4 in leave 11 1/2 in: squares of 5 in with 1/4 in
all round are cut 5 1/2 in, two across and two up. 20 of them are 5 loads, so 5 pieces of cloth. The
blade's axis keeps 0.25 mm inside the margins, 6.6 to 298.2 mm, and 1 mm is free at the cloth's
edges: 5.6 to 299.2 mm. From 3/16 in (4.76 mm) on that is 294.4 mm, 11.59 in: 11 5/8 in; from 5 mm
on 294.2, 295 mm.

* 40 in: 3 side by side (34 7/8 in), 2 rows, 23 1/4 in, and 1 in, 0.674 yd: 3/4 yd.
* 24 in: 2 side by side, 3 rows, 34 7/8 in, and 1 in, 0.997 yd: 1 yd.
* 1.1 m: 3 side by side (885 mm), 2 rows, 590 mm, and 25.4 mm, 615.4 mm: 0.7 m.
* 11 in: none goes on it.

The test's square of 6.44 in lies in the empty place that each of these leaves.

32 squares in two layers are 16 outlines, 4 loads, 8 pieces: 3 rows, 34 7/8 in, and one empty place.
A second test piece finds no room in the 5 1/8 in beside them: 34.88 + 6.44 + 1 = 42.32 in,
1.175 yd: 1 1/4 yd.

Sheets of 10 in by 15 in hold one rectangle of 9 in by 13 in each, so 7 rectangles take 7 sheets. On
30 in, upright, 3 are side by side: 3 rows of 15 in, 45 in, and 1 in, 1.278 yd: 1 3/8 yd. A quarter
turn on, 2 are side by side: 4 rows of 10 in, 40 in, and 1 in, 1.139 yd: 1 1/4 yd, where the grain
does not matter. Both leave a place for the test's 9.94 in by 13.94 in.

Sheets of 18 in by 12 in hold 15 squares of 3 1/2 in each, 5 by 3, so 105 squares take 7 sheets. On
42 in, 2 are side by side as they lie on the bed, and 3 a quarter turn on. All one way they are 4
rows of 12 in, 48 in, or 3 rows of 18 in, 54 in. Two rows of 2 and a turned row of 3 are 42 in long:
with 1 in, 1.194 yd: 1 1/4 yd, not 1.361 yd: 1 3/8 yd. The test's 4.44 in lie in the 6 in beside
them. 8 sheets are 4 rows of 2, or 2 + 3 + 3: 12 + 18 + 18 = 48 in, no less: all lie one way.

A print with a repeat of 4 in both ways: patches of 3 1/2 in have a middle each 4 in, on sheets of
10 in by 14 in. Motifs at 4 and 8 in across and 4, 8 and 12 in up leave 1 3/4 in on each side: 6 on
a sheet, 24 take 4 sheets. Nobody knows where in the repeat the cloth begins, so 4 in may be lost
both ways, and the next sheet begins 12 in on across, and 16 in along. On 40 in 36 in are left: 3
side by side (12 + 12 + 10). Four sheets are 2 rows, 16 + 14 = 30 in, and 4 in and 1 in, 35 in =
0.972 yd: 1 yd. The test's 3 1/2 in squares with 12 mm all round, 4.44 in, lie in the two empty
places.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio

pytestmark = pytest.mark.usefixtures("in_process")


def _cloth(studio: Studio, body: Json) -> Json | None:
    """Return what the preview of a kit states of its first run's cloth."""
    run: Json = studio.calculated("/v1/layouts", body)["runs"][0]
    return run.get("cloth")


def _squares(quantity: int = 20, *, units: str = "in", layers: int = 1, **material: Any) -> Json:
    return {
        "units": units,
        "pieces": [
            {
                "id": "A",
                "shape": {"kind": "square", "side": "5 in"},
                names.QUANTITY: quantity,
                "seam_allowance": "1/4 in",
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "cutter": "drag-blade-sheet",
                "layers": layers,
                "material": {"name": "cotton", "kind": "fabric", **material},
            }
        ],
    }


@pytest.mark.parametrize(
    ("body", "per_row", "rows", "length_mm", "buy"),
    [
        (_squares(), 3, 2, 23.25 * 25.4, "3/4 yd"),
        (_squares(fabric_width=24), 2, 3, 34.875 * 25.4, "1 yd"),
        (_squares(units="mm", fabric_width="1.1 m"), 3, 2, 590.0, "0.7 m"),
        (_squares(32, layers=2), 3, 3, 34.875 * 25.4, "1 1/4 yd"),
    ],
)
def test_pieces_of_a_bed_lie_in_rows_across_the_cloth(
    studio: Studio, body: Json, per_row: int, rows: int, length_mm: float, buy: str
) -> None:
    cloth = _cloth(studio, body)
    assert cloth is not None
    assert (cloth["per_row"], cloth["rows"], cloth["buy"]) == (per_row, rows, buy)
    assert cloth["length_mm"] == pytest.approx(length_mm)
    side = 295.0 if body["units"] == "mm" else 11.625 * 25.4
    assert cloth["piece_width_mm"] == cloth["piece_length_mm"] == pytest.approx(side)


@pytest.mark.parametrize(
    ("grain", "buy"),
    [
        ("half-turn", "1 3/8 yd"),
        ("free", "1 1/4 yd"),
        ([0, 90, 180, 270], "1 1/4 yd"),
        ([0, 60, 120, 180, 240, 300], "1 3/8 yd"),
    ],
)
def test_sheets_are_turned_on_the_cloth_where_the_grain_allows_it(
    studio: Studio, grain: str | list[int], buy: str
) -> None:
    sheet = {"name": "linen", "kind": "fabric", "width": 10, "height": 15, "fabric_width": 30}
    piece = {"id": "A", "shape": {"kind": "rectangle", "width": 9, "height": 13}, "quantity": 7}
    run = {"cut": "patch", "cutter": "laser-bed", "material": sheet}
    body = {"units": "in", "pieces": [{**piece, "grain": grain}], "runs": [run]}
    cloth = _cloth(studio, body)
    assert cloth is not None
    assert (cloth["pieces"], cloth["buy"]) == (7, buy)


def _on_42(quantity: int, grain: str = "free") -> Json:
    sheet = {"name": "linen", "kind": "fabric", "width": 18, "height": 12, "fabric_width": 42}
    square = {"kind": "square", "side": 3}
    piece = {"id": "A", "shape": square, "quantity": quantity, "seam_allowance": "1/4"}
    run = {"cut": "patch", "cutter": "laser-bed", "material": sheet, "formats": ["svg"]}
    return {"title": "Sails", "units": "in", "pieces": [{**piece, "grain": grain}], "runs": [run]}


def test_rows_of_both_ways_follow_each_other_where_less_is_bought(studio: Studio) -> None:
    kit = studio.kit(_on_42(105))
    cloth = kit.payload["runs"][0]["cloth"]
    assert (cloth["pieces"], cloth["per_row"], cloth["rows"]) == (7, 2, 2)
    assert cloth["turned"] == {"per_row": 3, "rows": 1}
    assert (cloth["length_mm"], cloth["buy"]) == (pytest.approx(42 * 25.4), "1 1/4 yd")
    assert (
        "to buy: 1 1/4 yd of cloth 42 in wide. cut from it 2 rows of 2, each 18 in across the "
        "cloth and 12 in along it, then 1 row of 3, each 12 in across the cloth and 18 in along it."
    ) in kit.sheet.text


@pytest.mark.parametrize(("quantity", "grain"), [(120, "free"), (105, "half-turn")])
def test_all_lie_one_way_where_both_take_no_less(studio: Studio, quantity: int, grain: str) -> None:
    cloth = _cloth(studio, _on_42(quantity, grain))
    assert cloth is not None
    assert cloth.get("turned") is None
    assert (cloth["per_row"], cloth["rows"], cloth["buy"]) == (2, 4, "1 3/8 yd")


def test_a_print_is_bought_with_a_repeat_more(studio: Studio) -> None:
    motif = {"repeat_width": 4, "repeat_height": 4, "origin": {"x": 0, "y": 0}}
    sheet = {"name": "print", "kind": "fabric", "width": 10, "height": 14, "fabric_width": 40}
    square = {"kind": "square", "side": 3}
    piece = {"id": "A", "shape": square, "quantity": 24, "motif": True, "seam_allowance": "1/4"}
    run = {"cut": "patch", "cutter": "laser-bed", "material": {**sheet, "motif": motif}}
    laid = studio.calculated("/v1/layouts", {"units": "in", "pieces": [piece], "runs": [run]})
    cloth = laid["runs"][0]["cloth"]
    assert (cloth["pieces"], cloth["per_row"], cloth["rows"]) == (4, 3, 2)
    assert (cloth["length_mm"], cloth["buy"]) == (pytest.approx(30 * 25.4), "1 yd")


def test_what_is_no_cloth_by_the_length_states_none(studio: Studio) -> None:
    assert _cloth(studio, _squares(fabric_width=11)) is None
    assert _cloth(studio, _squares(kind="card")) is None
    stock = [{"name": "rests", "width": 12, "height": 12, "count": 5}]
    assert _cloth(studio, _squares(stock=stock)) is None


def test_cloth_that_is_too_narrow_is_named(studio: Studio) -> None:
    """The mat's pieces are 11 5/8 in wide, whichever way they lie: none goes on cloth of 11 in."""
    said = [
        each
        for each in studio.calculated("/v1/layouts", _squares(fabric_width=11))["warnings"]
        if "too narrow" in each
    ]
    (text,) = said
    assert text.startswith("Run 1: The cloth is 11 in wide, too narrow for pieces of material that")
    assert "are 11 5/8 in" in text
    enough = studio.calculated("/v1/layouts", _squares(fabric_width="11 5/8"))
    assert enough["runs"][0]["cloth"]["per_row"] == 1
    assert not any("too narrow" in each for each in enough["warnings"])


def test_a_width_of_cloth_is_refused_where_nothing_is_cut_from_cloth(studio: Studio) -> None:
    pointer = "#/runs/0/material/fabric_width"
    stock = [{"name": "rests", "width": 12, "height": 12, "count": 5}]
    roll = _squares(fabric_width=40)
    roll["runs"][0]["cutter"] = {
        "tool": {"kind": "drag_blade", "offset": "0.25 mm"},
        "bed": {"shape": "roll", "width": 20},
    }
    for body in (
        _squares(kind="card", fabric_width=40),
        _squares(stock=stock, fabric_width=40),
        roll,
    ):
        assert pointer in [each["pointer"] for each in studio.refused(body)["errors"]]
    wrongs: tuple[Any, ...] = ("wide", 0, -3, [40], None, {})
    for wrong in wrongs:
        found = studio.refused(_squares(fabric_width=wrong), "/v1/layouts")["errors"]
        assert [each["pointer"] for each in found] == [pointer]


def test_a_plan_hands_its_cloth_to_its_kit(studio: Studio) -> None:
    """A flower's centre, rounds and path are hexagons of one size: one template for all of them."""
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "units": "in",
            "tiling": "hexagon_flower",
            "side": "1",
            "quilt": {"width": "12", "length": "12"},
            "fabric": {"width": "42"},
        },
    )
    templates, *patches = plan["kit"]["runs"]
    assert templates["merge_identical"] is True
    assert len(patches) > 1
    assert {run["material"]["fabric_width"] for run in patches} == {42}
    runs = [{**run, "effort": "quick"} for run in plan["kit"]["runs"]]
    laid = studio.calculated("/v1/layouts", {**plan["kit"], "runs": runs})["runs"]
    assert list(laid[0]["totals"]) == ["A"]
    # Three pieces of 11 1/2 in lie side by side on 42 in, one row of them is 11 1/2 in: 3/8 yd.
    assert [run["cloth"]["per_row"] for run in laid[1:]] == [3] * len(patches)
    assert {run["cloth"]["buy"] for run in laid[1:] if run["cloth"]["rows"] == 1} == {"3/8 yd"}
