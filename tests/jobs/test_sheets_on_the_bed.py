"""Sheets of a stated size: where they lie, how near their edges pieces go, what is said of it."""

from __future__ import annotations

import copy
import json
import re
from typing import Any

import pytest

from service.errors import RequestError
from service.tools.built_in import BUILT_IN
from tests.requested import kit, layouts

INCH = 25.4
#: The clearance that a drag blade's run has where none is stated, mm (README).
CLEAR = 1.0

LETTER: dict[str, Any] = {
    "title": "Letter card on 12 x 12 mat",
    "units": "in",
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "square", "side": "1"},
            "quantity": 80,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "drag-blade-sheet",
            "formats": ["plan"],
            "material": {"name": "card", "kind": "card", "width": "8 1/2", "height": "11"},
        }
    ],
}


def asked(material: dict[str, Any], **run: Any) -> dict[str, Any]:
    body = copy.deepcopy(LETTER)
    body["runs"][0]["material"] |= material
    body["runs"][0] |= run
    body["pieces"][0]["quantity"] = 4
    body["documents"] = []
    return body


def box(area: dict[str, float]) -> tuple[float, float, float, float]:
    """Return left, bottom, right and top."""
    return (
        area["x_mm"],
        area["y_mm"],
        area["x_mm"] + area["width_mm"],
        area["y_mm"] + area["height_mm"],
    )


def reached(run: dict[str, Any], files: dict[str, bytes]) -> tuple[float, float, float, float]:
    """Return the box of every vertex of every stroke; arcs at corners reach no farther than 1 um
    past their ends here, as they swivel about a corner inside."""
    rows = [
        row
        for load in run["loads"]
        for file in load["files"]
        for stroke in json.loads(files[file["name"]])["strokes"]
        for row in stroke["points"]
    ]
    xs, ys = [row[0] for row in rows], [row[1] for row in rows]
    return min(xs), min(ys), max(xs), max(ys)


def refused(body: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(RequestError) as caught:
        layouts(body, BUILT_IN.get)
    return {fault.pointer: fault.detail for fault in caught.value.errors}


def test_a_letter_card_on_a_mat() -> None:
    """8 1/2 x 11 in card on a 12 x 12 in mat with margins of 1/4 in: it lies in the lower left
    corner of what they leave, at 1/4, 1/4 in (6.35 mm).

    Usable: from 6.35 + 1 to 6.35 + 215.9 - 1 = 221.25 mm across, to 6.35 + 279.4 - 1 = 284.75 up;
    the mat's own margins end at 298.45 and take nothing more. 1 in squares 1 mm apart:
    (213.9 + 1) / 26.4 = 8.14 across, (277.4 + 1) / 26.4 = 10.5 up: 8 x 10 = 80, one load.
    Every place of the axis, 0.25 mm ahead of the tip, stays on the card.
    """
    made = kit(LETTER, BUILT_IN.get)
    run = made.answer["runs"][0]
    assert box(run["work_area"]) == pytest.approx((7.35, 7.35, 221.25, 284.75))
    sheet = run["sheet"]
    assert (sheet["x_mm"], sheet["y_mm"]) == pytest.approx((6.35, 6.35))
    assert (sheet["width_mm"], sheet["height_mm"]) == pytest.approx((215.9, 279.4))
    assert sheet["edge_clearance_mm"] == CLEAR
    assert [(load["repeats"], load["outlines"])
            for load in run["loads"]] == [(1, {"A": 80})]  # fmt: skip
    left, bottom, right, top = reached(run, dict(made.files))
    assert left >= 6.35
    assert bottom >= 6.35
    assert right <= 6.35 + 215.9
    assert top <= 6.35 + 279.4
    # Words, on the stop, the sheet and the picture: 1/4 in, two edges, the bench's word.
    page = next(data for name, data in made.files.items() if name.endswith(".html")).decode()
    picture = next(
        data for name, data in made.files.items() if name.endswith("-picture.svg")
    ).decode()
    for text in (run["loads"][0]["stops"][0]["message"], sheet["position"], page, picture):
        plain = re.sub(r"&#x27;|&apos;|&#39;", "'", text)
        assert re.search(r"corner (exactly )?1/4 in from the mat's left and lower edge", plain)
    # The card is drawn where it lies, at size.
    assert re.search(r'<rect x="6.35" y="6.35" width="215.9" height="279.4"', picture)


def test_a_sheet_of_one_side_has_no_place_and_is_refused() -> None:
    """Six inches of what else? The load was laid out on 6 in, and nothing said where."""
    both = asked({})["runs"][0]["material"]
    for missing in ("width", "height"):
        body = asked({})
        body["runs"][0]["material"] = {k: v for k, v in both.items() if k != missing}
        (detail,) = refused(body).values()
        assert detail == f"State the sheet's {missing} too, or leave both out."


def test_what_is_no_mark_of_a_ruler_is_not_laid_exactly() -> None:
    """5 mm are 0.1969 in, about 3/16 in; 6.35 mm are 1/4 in, which a ruler has."""
    for x, says in (("5 mm", False), ("1/4 in", True)):
        run = layouts(asked({"position": {"x": x, "y": x}}), BUILT_IN.get).answer["runs"][0]
        message = run["loads"][0]["stops"][0]["message"]
        assert ("exactly" in message) == says
        assert ("about" in message) != says


def test_a_sheet_as_large_as_the_mat_lies_on_it() -> None:
    """12 x 12 in card on the 12 x 12 in mat: corner on corner; what is left is the mat less its
    margins, 6.35 to 298.45 mm, and not those and a clearance besides."""
    made = kit(asked({"width": "12", "height": "12"}), BUILT_IN.get)
    run = made.answer["runs"][0]
    assert (run["sheet"]["x_mm"], run["sheet"]["y_mm"]) == (0.0, 0.0)
    assert box(run["work_area"]) == pytest.approx((6.35, 6.35, 298.45, 298.45))
    assert "on the mat's lower left corner" in run["loads"][0]["stops"][0]["message"]
    # Margins bound the axis: pieces stay an offset, 0.25 mm, inside.
    assert box(run["usable_area"]) == pytest.approx((6.6, 6.6, 298.2, 298.2))


def test_a_sheet_as_wide_as_the_mat_but_shorter() -> None:
    """12 x 10 in: across it fills the mat, so it begins at 0; up it has its place at 1/4 in."""
    run = layouts(asked({"width": "12", "height": "10"}), BUILT_IN.get).answer["runs"][0]
    assert (run["sheet"]["x_mm"], run["sheet"]["y_mm"]) == pytest.approx((0.0, 6.35))
    assert box(run["work_area"]) == pytest.approx((6.35, 7.35, 298.45, 6.35 + 254 - 1))
    assert (
        "flush with the mat's left edge and 1/4 in from its lower edge" in run["sheet"]["position"]
    )


def test_a_sheet_lies_where_the_request_says() -> None:
    """At 2 in, 3/4 in: usable from 50.8 + 1 to 50.8 + 215.9 - 1 = 265.7 across, and from 20.05 to
    19.05 + 279.4 - 1 = 297.45 up."""
    body = asked({"position": {"x": "2 in", "y": "3/4"}})
    made = kit(body, BUILT_IN.get)
    run = made.answer["runs"][0]
    assert box(run["work_area"]) == pytest.approx((51.8, 20.05, 265.7, 297.45))
    assert (
        "2 in from the mat's left edge and 3/4 in from its lower edge" in run["sheet"]["position"]
    )
    left, bottom, _, _ = reached(run, dict(made.files))
    assert left >= 50.8
    assert bottom >= 19.05


def test_a_sheet_that_hangs_over_is_told() -> None:
    """14 x 11 in on the 12 in mat reaches 2 in past its right edge; moved 1/2 in to the left it
    reaches 1/2 in past the left and 1 1/2 in past the right. Pieces stay within the margins."""
    answer = layouts(asked({"width": "14"}), BUILT_IN.get).answer
    run = answer["runs"][0]
    assert run["sheet"]["x_mm"] == 0.0
    assert box(run["work_area"])[2] == pytest.approx(298.45)
    assert any("2 in past the right of the mat" in warning for warning in answer["warnings"])
    answer = layouts(asked({"width": "14", "position": {"x": "-1/2", "y": 0}}), BUILT_IN.get).answer
    (payload,) = [warning for warning in answer["warnings"] if "past the" in warning]
    assert "1/2 in past the left" in payload
    assert "1 1/2 in past the right" in payload


def test_a_stated_clearance_holds() -> None:
    """1/2 in: 19.05 to 6.35 + 215.9 - 12.7 = 209.55. At 0 pieces lie on the card's edge, the axis
    runs 0.25 mm off it on the sides where the margin does not stop it, and that is said."""
    run = layouts(asked({"edge_clearance": "1/2"}), BUILT_IN.get).answer["runs"][0]
    assert box(run["work_area"])[0::2] == pytest.approx((19.05, 209.55))
    body = asked({"edge_clearance": 0, "width": 2, "height": 2, "position": {"x": 1, "y": 1}})
    body["pieces"][0] |= {"shape": {"kind": "square", "side": "2"}, "quantity": 1}
    made = kit(body, BUILT_IN.get)
    assert reached(made.answer["runs"][0], dict(made.files))[2] == pytest.approx(3 * INCH + 0.25)
    assert any("runs off the sheet" in warning for warning in made.answer["warnings"])


@pytest.mark.parametrize(
    ("tool", "clear"),
    [
        ({"kind": "laser", "kerf": "0.2 mm"}, 1.0),
        # More than usual where the tool needs it: the whole slot, half the blade.
        ({"kind": "laser", "kerf": "2 mm"}, 2.0),
        ({"kind": "indexed_blade", "blade_width": "6 mm"}, 3.0),
        ({"kind": "drag_blade", "offset": "2 mm"}, 2.0),
        ({"kind": "pen"}, 1.0),
    ],
)
def test_the_usual_clearance_is_what_the_tool_needs(tool: dict[str, Any], clear: float) -> None:
    cutter = {"tool": tool, "bed": {"width": 12, "height": 12}}
    made = kit(asked({}, cutter=cutter, gap="7 mm"), BUILT_IN.get)
    run = made.answer["runs"][0]
    assert run["sheet"]["edge_clearance_mm"] == pytest.approx(clear)
    # With no margins the card lies on the bed's corner, and no stroke runs off either.
    left, bottom, right, top = reached(run, dict(made.files))
    assert min(left, bottom) >= 0.0
    assert right <= 8.5 * INCH
    assert top <= 11 * INCH


@pytest.mark.parametrize(
    ("material", "where", "message"),
    [
        ({"edge_clearance": "-1 mm"}, "edge_clearance", "at least 0 in"),
        ({"edge_clearance": "5 in"}, "edge_clearance", "leaves nothing"),
        ({"position": {"x": "12 in", "y": 0}}, "position", "nothing in common"),
        ({"position": {"x": "-9", "y": 0}}, "position", "nothing in common"),
        ({"height": None, "position": {"x": 0, "y": 0}}, "position", "width and height"),
        (
            {"width": None, "height": None, "edge_clearance": 1},
            "edge_clearance",
            "width and height",
        ),
    ],
)
def test_sheets_that_cannot_lie_so(material: dict[str, Any], where: str, message: str) -> None:
    body = asked(material)
    row = body["runs"][0]["material"]
    body["runs"][0]["material"] = {key: value for key, value in row.items() if value is not None}
    assert message in refused(body)[f"#/runs/0/material/{where}"]


ROLL = {"tool": {"kind": "drag_blade"}, "bed": {"shape": "roll", "width": "20 in"},
        "margins": {"left": "5 mm", "right": "5 mm", "top": "5 mm", "bottom": "5 mm"}}  # fmt: skip


def test_a_roll_is_not_drawn_off_farther_than_it_goes() -> None:
    """A rest 18 in wide and 10 in (254 mm) long on a 20 in bed: it lies after the margin of 5 mm,
    so pieces are 6 mm to 5 + 457.2 - 1 = 461.2 mm up; what is drawn off is 254 mm at most."""
    body = asked({"width": "18", "height": "10"}, cutter=ROLL)
    body["pieces"][0]["quantity"] = 200
    answer = layouts(body, BUILT_IN.get).answer
    run = answer["runs"][0]
    _, bottom, _, top = box(run["work_area"])
    assert (bottom, top) == pytest.approx((6.0, 461.2))
    assert len(run["loads"]) > 1 or run["loads"][0]["repeats"] > 1
    assert max(load["length_mm"] for load in run["loads"]) <= 254.0 + 1e-6


def test_a_roll_has_no_position() -> None:
    body = asked({"position": {"x": 0, "y": 0}}, cutter=ROLL)
    assert "roll" in refused(body)["#/runs/0/material/position"]


def test_papers_on_a_sheet_as_large_as_the_mat() -> None:
    """The class papers: 1 in hexagons, 1 mm apart, on 12 x 12 in card on the mat of that size.

    Pieces have 292.1 - 0.5 = 291.6 mm each way. Columns of hexagons standing on a side step
    1.5 x 25.4 + 1 x sin 60 = 38.97 mm: (291.6 - 50.8) / 38.97 = 6.2, so 7 columns; a hexagon and
    its gap are 44.0 + 1 = 45.0 mm high: (291.6 + 1) / 45.0 = 6.5, and half a step more for every
    second column still stands: 7 x 6 = 42 a sheet. 1,320 / 42 = 31.4: 32 sheets.
    """
    body = copy.deepcopy(LETTER)
    body["documents"] = []
    body["pieces"] = [
        {
            "id": "HEX1",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 1320,
            "seam_allowance": "1/4",
        }
    ]
    body["runs"][0]["material"] = {"name": "card", "width": "12 in", "height": "12 in"}
    run = layouts(body, BUILT_IN.get).answer["runs"][0]
    assert sum(load["repeats"] for load in run["loads"]) == 32
