"""What somebody new at the bench has to know is on the sheet, where it is needed."""

from __future__ import annotations

import re
from typing import Any

import pytest

from service.documents.model import RunSheet
from service.documents.pdf import run_sheet_pdf
from service.documents.pictures import looks
from service.documents.sketches import load_sketch
from tests import requested
from tests.printed_words import printed_words, words_by_page

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester


def sheet(body: dict[str, Any]) -> tuple[RunSheet, str]:
    """Return a kit's sheet, and the text of its PDF in one line."""
    found, made = requested.run_sheet({**body, "documents": ["run_sheet"]})
    return found, printed_words(made.files["run-sheet.pdf"])


def hooped(formats: list[str], **more: Any) -> dict[str, Any]:
    return {
        "title": "Hoop", "units": "mm",
        "pieces": [{"id": "S", "shape": {"kind": "square", "side": 40}, "quantity": 2}],
        "runs": [{
            "cut": "patch", "cutter": "indexed-blade-hoop", "formats": formats, "effort": "quick",
            "material": {"name": "cotton", "kind": "stiffened_fabric"}, "ties": {"count": 0},
            **more,
        }],
    }  # fmt: skip


def test_where_the_file_stops_nothing_the_sheet_says_after_which_stroke_to_pause() -> None:
    """Two squares without ties: their 4 level edges are 4 strokes, their 4 upright ones follow."""
    made, text = sheet(hooped(["hpgl"], one_file_per="load"))
    (load,) = made.runs[0].loads
    turns = [each.message for each in load.stops if each.reason == "turn-blade"]
    assert turns
    for message in turns:
        assert message.startswith("Pause the machine after stroke 4 of 8. With the head raised, ")
        assert message.endswith(" Then start it again.")
        assert message in text
    assert "The file does not stop the machine. Count its 8 strokes" in text
    # How counting is avoided stands before anything is loaded, not only on the office's page.
    assert text.index("ask the office") < text.index("Prepare")
    # Each stroke has its number in the picture, and the end of the fourth a dot.
    drawn = load_sketch(load, "", (150.0, 100.0)).sketch
    assert {str(number) for number in range(1, 9)} <= {words.text for words in drawn.words}
    assert load.pauses == (4,)
    assert [shape.look for shape in drawn.top] == [looks.PAUSE]


def test_what_is_done_where_files_end_is_followed_by_the_next_file() -> None:
    """Without a word of it too: HP-GL cannot stop the machine."""
    made, text = sheet(hooped(["hpgl"]))
    begin = made.runs[0].loads[0].stops[0]
    assert begin.message.endswith(' Then start "...-1-station-1.plt".')
    assert "Files, one after the other as the steps say: 1-patch-cotton-1-station-1.plt" in text
    turns = [each.message for each in made.runs[0].loads[0].stops if each.is_inside]
    assert len(turns) == 1
    assert turns[0].startswith("The file ends. With the head raised, turn the blade to ")
    assert turns[0].endswith(' Then start "...-1-station-2.plt".')
    assert not made.runs[0].loads[0].strokes


@pytest.mark.parametrize(
    ("name", "how"), [("hpgl", {}), ("hpgl", {"one_file_per": "station"}), ("plan", {})]
)
def test_where_files_end_or_hold_stops_no_stroke_is_named(name: str, how: dict[str, Any]) -> None:
    _, text = sheet(hooped([name], **how))
    assert "after stroke" not in text.lower()
    assert "does not stop the machine" not in text


def test_a_stack_of_vinyl_is_not_said_to_be_cut_through_its_film_alone() -> None:
    """Right sides together, the upper sheet's backing is on top: its film alone is out of reach."""
    hands = [
        {
            "id": name, "quantity": 4, "seam_allowance": 6,
            "shape": {
                "kind": "parallelogram", "base": 75, "side": 50, "angle_deg": 45, "hand": hand,
            },
        }
        for name, hand in (("PR", "right"), ("PL", "left"))
    ]  # fmt: skip
    run = {
        "cut": "patch", "cutter": "drag-blade-sheet", "layers": 2, "stack": "face_to_face",
        "formats": ["svg"], "effort": "quick", "material": {"name": "flag vinyl", "kind": "vinyl"},
    }  # fmt: skip
    body = {"title": "Flags", "units": "mm", "pieces": hands, "runs": [run]}
    made, text = sheet(body)
    assert "only the film is cut" not in text
    assert "backing down" not in text
    assert "A stack of vinyl is cut through whole" in text
    # Vinyl has no grain to turn it about.
    assert "lengthwise grain" not in text
    # No outline in the picture is named PL.
    placed = {kind.piece for load in made.runs[0].loads for kind in load.kinds}
    assert placed == {"PR"}
    assert "4 of PL: the upper layer of each PR" in text
    single = sheet({**body, "runs": [{**run, "layers": 1, "stack": "face_up"}]})[1]
    assert "Lay it with its backing down; only the film is cut through." in single


def test_corners_are_counted_and_have_no_number() -> None:
    """A mitre at 45 degrees reaches 1 / sin 22.5 = 2.61 allowances: past a limit of 2."""
    piece = {
        "id": "K", "shape": {"kind": "diamond_45", "side": 60}, "quantity": 2,
        "seam_allowance": 6, "corners": {"kind": "mitre", "limit": 2},
    }  # fmt: skip
    body = {**hooped(["svg"]), "pieces": [piece]}
    _, text = sheet({**body, "runs": [{**body["runs"][0], "cutter": "laser-bed"}]})
    assert "2 corners (45 degrees) are cut blunt" in text
    assert not re.search(r"corners? \d+\b(?! mm)", text)


def test_checks_of_a_second_run_with_the_same_tool_are_not_said_again() -> None:
    body = hooped(["svg"])
    run = {**body["runs"][0], "cutter": "laser-bed"}
    _, text = sheet(
        {**body, "runs": [run, {**run, "material": {"name": "silk", "kind": "fabric"}}]}
    )
    assert text.count("kerf = (hole - part) / 2") == 1
    assert 'The same as under "Run 1: patch, cotton".' in text


def test_a_small_sheet_is_shown_with_its_part_of_the_bed_and_a_key() -> None:
    """A sheet of 100 x 100 on 600 x 400 is a 24th of the bed; 550 x 390 of it nearly all."""
    body = hooped(["svg"])
    for size, is_part in (((100, 100), True), ((550, 390), False)):
        material = {"name": "card", "kind": "card", "width": size[0], "height": size[1]}
        run = {**body["runs"][0], "cut": "template", "cutter": "laser-bed", "material": material}
        _, text = sheet({**body, "runs": [run]})
        assert ("the part where the sheet lies" in text) == is_part
        assert ("In the pictures (only to look at" in text) != is_part
        assert "your sheet of material" in text
        # Nothing is in the key that is in no picture.
        assert "motif" not in text
        assert "seam line" not in text


def test_an_allowance_that_differs_names_its_edges() -> None:
    """A square of 40 with 6 mm, 12 at its edge 2: a patch of 52 by 58."""
    body = hooped(["svg"])
    wide = {"default": 6, "edges": {"2": 12}}
    made, text = sheet({**body, "pieces": [body["pieces"][0] | {"seam_allowance": wide}]})
    assert "6 mm at edges 0, 1, 3; 12 mm at edge 2" in text
    assert "to 12 mm" not in text
    assert made.pieces[0].edges == (0, 1, 2, 3)


def test_one_run_of_two_loads_takes_two_pages_and_the_office_s() -> None:
    """6 x 4 squares of 40 fit 300 x 200 less margins and gaps; 30 of them are two loads."""
    body = hooped(["svg"])
    material = {"name": "card", "kind": "card", "width": 300, "height": 200}
    run = {**body["runs"][0], "cutter": "laser-bed", "cut": "template", "material": material}
    body["pieces"][0]["quantity"] = 30
    made, _ = sheet({**body, "runs": [run]})
    assert len(made.runs[0].loads) == 2
    pages = words_by_page(run_sheet_pdf(made))
    assert len(pages) == 3
    assert "For the office" in pages[2]
    # Both loads share a page, each with its picture and steps.
    assert all(f"load {number}" in pages[1] for number in (1, 2))


@pytest.mark.parametrize(("units", "size"), [("mm", (310.0, 210.0)), ("in", (311.15, 212.725))])
def test_the_answer_states_the_cloth_that_a_hoop_grips_as_the_sheet_does(
    units: str, size: tuple[float, float]
) -> None:
    """The opening is 260 by 160 mm; a frame takes 25 mm or 1 in on each side (common practice, no
    source). In inches 12.24 by 8.30 are rounded up to eighths: 12 1/4 and 8 3/8.
    """
    _, made = requested.run_sheet({**hooped(["svg"]), "units": units, "pieces": [
        {"id": "S", "shape": {"kind": "square", "side": "40 mm"}, "quantity": 2}
    ]})  # fmt: skip
    found = made.answer["runs"][0]["material_size"]
    assert (found["width_mm"], found["height_mm"]) == pytest.approx(size)


def test_the_answer_states_what_material_on_a_mat_has_to_cover() -> None:
    """Of a mat of 304.8 mm the work area is 6.6 to 298.2 mm, and 1 mm is free at an edge.

    That is 5.6 to 299.2 mm, out to whole mm 5 to 300: 295 mm both ways.
    """
    _, made = requested.run_sheet(hooped(["svg"], cutter="drag-blade-sheet"))
    found = made.answer["runs"][0]["material_size"]
    assert (found["width_mm"], found["height_mm"]) == pytest.approx((295.0, 295.0))
