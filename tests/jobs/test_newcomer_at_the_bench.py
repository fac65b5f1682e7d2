"""A newcomer cuts from the sheet alone: counts, sizes, times and steps that were worked by hand."""

from __future__ import annotations

from typing import Any

import pytest

from geometry.model.segments import Bounds
from service.documents.bench_units import BenchUnits
from service.documents.model import RunSheet
from service.kits.sheet_warnings import SheetWarnings
from service.tools.figures import bench_s, bench_time
from tests import requested
from tests.printed_words import printed_words

LASER: dict[str, Any] = {
    "tool": {"kind": "laser", "kerf": "0.2 mm"},
    "bed": {"width": "600 mm", "height": "400 mm"},
}


def sheet(**more: Any) -> tuple[RunSheet, str]:
    """Return the sheet of 8 squares of 60 mm with 6 mm, and the text of its PDF in one line."""
    run = {
        "cut": "patch", "cutter": LASER, "formats": ["svg"], "effort": "quick",
        "material": {"name": "sail cotton", "kind": "fabric", "width": 300, "height": 200},
        **more.pop("run", {}),
    }  # fmt: skip
    piece = {
        "id": "S", "shape": {"kind": "square", "side": "60 mm"}, "quantity": 8,
        "seam_allowance": "6 mm", **more.pop("piece", {}),
    }  # fmt: skip
    body = {"title": "Buoy cloths", "units": "mm", "pieces": [piece], "runs": [run], **more}
    found, made = requested.run_sheet({**body, "documents": ["run_sheet"]})
    return found, printed_words(made.files["run-sheet.pdf"])


def in_order(text: str, *words: str) -> bool:
    """Return whether words stand in a text one after another."""
    at = 0
    for each in words:
        assert each in text[at:], (each, text)
        at = text.index(each, at)
    return True


def test_cloth_is_pressed_and_trimmed_before_it_is_cut_to_size() -> None:
    """Starching shrinks cloth and a selvedge is no cloth to cut: common practice, no source."""
    _, text = sheet()
    assert in_order(
        text, "Prepare", "starch", "cut the selvedges off", "Get ready 1 piece of sail cotton",
        "a spare piece for the test", "Lay it right side up", "Test cut", "one S", "within 0.5 mm",
    )  # fmt: skip
    assert "Mark the lengthwise grain" not in text
    _, text = sheet(piece={"grain": "fixed"})
    assert in_order(text, "Mark the lengthwise grain", "cut the selvedges off", "Get ready")
    # The nap is decided, in one sentence with the grain.
    assert "The tops of S point up" in text
    assert "smooth when stroked downwards" in text
    assert "to suit" not in text


def test_a_stack_under_a_laser_is_warned_of_and_tested_as_a_stack() -> None:
    """8 squares in 4 layers are 2 outlines; smouldering between layers: common practice."""
    single, text = sheet()
    assert "smoulder" not in text
    assert "through a spare stack" not in text
    assert "allowed here by" not in text
    stacked, text = sheet(run={"layers": 4})
    assert "A stack of 4 layers under a laser can smoulder" in text
    assert "Cut one S through a spare stack of 4 layers." in text
    assert "top and its bottom layer" in text
    # 72 mm and 12 mm on each side.
    assert "Keep 4 spare pieces for the test, prepared alike, each at least 96 mm x 96 mm." in text
    # Who allows it is asked before anything is pressed or stacked.
    assert in_order(text, "Ask who allows a stack here", "First press", "Stack 4 layers")
    assert "load 1, all but its lower left S deleted (not saved)" in text
    assert "A stack is allowed here by: ____" in text
    assert (
        "Without that, test on one layer, load one layer at a time, and cut this load 4 times"
        in text
    )
    assert "8 of S: 2 outlines x 4 layers" in text
    # Nobody at the bench knows the fibre of cotton by its name: there is a line for it.
    for made in (single, stacked):
        assert made.runs[0].preparation[0].startswith("Write down the fibre of this cloth: ____")
    _, text = sheet(run={"material": {"name": "card", "kind": "card"}, "cut": "template"})
    assert "fibre" not in text
    # Card has no ties, and lights more easily than cloth.
    assert "fumes drawn off: open the lid, then lift the pieces out" in text


def test_what_a_frame_or_a_press_needs_for_a_test_is_of_full_size() -> None:
    """A scrap lies loose in a hoop, and leaves most rules of a die bare: common practice."""
    for cutter in ("indexed-blade-hoop", "die-board"):
        material = {"name": "sail cotton", "kind": "stiffened_fabric"}
        _, text = sheet(run={"cutter": cutter, "layers": 2, "material": material})
        assert "Keep 2 more of that size for the test." in text
        # A press for the test is none of those that the order counts.
        assert ("This press is extra" in text) == (cutter == "die-board")


def test_a_sheet_that_hangs_over_a_laser_is_trimmed_not_propped() -> None:
    """210 x 420 mm on a bed of 400 mm: 20 mm past the top, where nobody may defeat a lid."""
    material = {"name": "card", "kind": "card", "width": 210, "height": 420}
    _, text = sheet(run={"cut": "template", "material": material})
    assert in_order(text, "20 mm past the top of the bed", "trim off what hangs over", "lid")
    assert "Support what hangs over" not in text
    pen = {"tool": {"kind": "pen"}, "bed": LASER["bed"]}
    _, text = sheet(run={"cut": "template", "material": material, "cutter": pen})
    assert "Support what hangs over" in text


def test_pieces_show_only_what_a_run_makes() -> None:
    """A square of 60 mm with 6 mm is cut 72 mm; a template of it is 60 mm and has no allowance."""
    patch, text = sheet()
    assert in_order(text, "Pieces S:", "Finished 60 x 60 mm", "Patch 72 x 72 mm")
    material = {"name": "card", "kind": "card"}
    template, text = sheet(run={"cut": "template", "material": material})
    assert "Template 60 x 60 mm" in text
    assert "72" not in text
    assert [each.cuts for made in (patch, template) for each in made.pieces] == [
        ("patch",), ("template",)
    ]  # fmt: skip


def test_rests_are_kept_where_a_piece_fits() -> None:
    """3 outlines of 72 mm with gaps of 1 mm take 218 of 298 mm, in 2 rows 145 of 198 mm.

    8 squares are 4 x 2: 291 x 145 mm. Above them 198 - 145 - 1 = 52 mm are left, too low for 72.
    """
    made, text = sheet(run={"gap": "1 mm"})
    (load,) = made.runs[0].loads
    assert load.rests
    assert not any(each.is_for_kit for each in load.rests)
    assert "too small for any piece of this kit" in text
    assert "worth keeping" not in text
    # Six of them leave 72 mm and more at the right.
    made, text = sheet(run={"gap": "1 mm"}, piece={"quantity": 4})
    assert any(each.is_for_kit for each in made.runs[0].loads[0].rests)
    assert "Keep what is left, marked with its material" in text


@pytest.mark.parametrize(
    ("seconds", "printed"),
    [
        (31.0, "40 s"),
        (60.0, "1 min"),
        (62.0, "1.5 min"),
        (247.0, "4.5 min"),
        (8371.0, "2 h 20 min"),
    ],
)
def test_times_are_rounded_up(seconds: float, printed: str) -> None:
    """62 s are a minute and a half, 247 s 4.5 min, 8371 s 139.5 min: 2 h 20 min."""
    assert bench_time(seconds) == printed


def test_times_of_loads_add_up_to_that_of_the_kit() -> None:
    """Thirteen times 4.5 min are 58.5 min, not 13 x 247 s = 53.5 min."""
    assert bench_time(13 * bench_s(247.0)) == "58.5 min"


@pytest.mark.parametrize(
    ("units", "size_mm", "shown"),
    [
        # 60 and 51.96 mm; 11.699 and 13.5 cm; 2.5774 and 4.4641 in are 82.48 and 142.85 of 1/32 in.
        ("mm", (60.0, 51.96), "60 x 52 mm"),
        ("cm", (116.99, 135.0), "11.7 x 13.5 cm"),
        ("in", (2.5774 * 25.4, 4.4641 * 25.4), "2 9/16 x 4 15/32 in"),
    ],
)
def test_a_test_cut_is_measured_by_marks_of_a_ruler(
    units: str, size_mm: tuple[float, float], shown: str
) -> None:
    bench = BenchUnits(units)
    assert bench.ruler_size(Bounds(0.0, 0.0, *size_mm)) == shown
    assert bench.ruler_tolerance() == {"in": "1/32 in"}.get(units, "0.5 mm")


def test_a_press_s_force_is_in_the_units_of_its_rating() -> None:
    """66,800 lbf are 33.4 short tons of 2000 lbf; 66,800 x 4.44822 N are 297 kN."""
    warning = "the press needs about 66,800 lbf (297 kN), ejection included."
    (inch,) = SheetWarnings([warning], units="in").of_kit()
    (metric,) = SheetWarnings([warning], units="mm").of_kit()
    assert "66,800 lbf, 33.4 short tons" in inch
    assert "kN" not in inch
    assert "about 297 kN" in metric
    assert "lbf" not in metric


def test_cautions_name_their_run_where_runs_differ() -> None:
    """A laser's rules in run 1, a blade's in run 2, what is general in both."""
    card = {
        "cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"], "effort": "quick",
        "material": {"name": "card", "kind": "card"},
    }  # fmt: skip
    body = {
        "title": "Buoys", "units": "mm", "documents": ["run_sheet"],
        "pieces": [{"id": "S", "shape": {"kind": "square", "side": 60}, "quantity": 8}],
        "runs": [{**card, "cutter": LASER}, card],
    }  # fmt: skip
    found, _ = requested.run_sheet(body)
    assert found.cautions[0].startswith("This sheet is general information.")
    assert any(each.startswith("Run 1: Never leave a running laser") for each in found.cautions)
    assert any(each.startswith("Run 2: Keep fingers") for each in found.cautions)
    one, _ = requested.run_sheet({**body, "runs": [card]})
    assert not any(each.startswith("Run") or "laser" in each for each in one.cautions)
