"""A second newcomer cuts from the sheets of the ten kits: what was guessed is said and drawn."""

from __future__ import annotations

import functools

import pytest

from service.documents.html import run_sheet_html
from service.documents.model import RunSheet, SheetLoad
from service.documents.pictures import looks
from service.documents.sketches import load_sketch
from service.documents.text import run_sheet_text
from tests.bench_kits import KITS, counted_sheet_and_kit, sheet_and_kit
from tests.jobs.test_newcomer_at_the_bench import LASER, in_order, sheet
from tests.printed_words import words_by_page


@functools.cache
def _kit(start: str, *, counted: bool = False) -> tuple[RunSheet, list[str]]:
    """Return the sheet of one of the ten kits, and its pages as text.

    Its loads have one file each, in which somebody counts strokes, only if that is asked for.
    """
    (path,) = (each for each in KITS if each.stem.startswith(start))
    found, made = (counted_sheet_and_kit if counted else sheet_and_kit)(path)
    return found, words_by_page(made.files["run-sheet.pdf"])


def _loads(found: RunSheet) -> list[SheetLoad]:
    return [load for run in found.runs for load in run.loads]


def test_pictures_are_never_cut() -> None:
    """A machine that reads SVG would open pictures too: their names' end is on the first page."""
    found, pages = _kit("01")
    assert 'never cut "...picture.svg"' in pages[0]
    assert "never cut" in run_sheet_html(found)
    assert 'Never cut "...picture.svg"' in run_sheet_text(found)


def test_a_pen_s_loads_are_drawn_and_a_roll_has_room_for_the_test() -> None:
    """A square of 60 mm with 6 mm is 72 mm; with 12 mm all round its test takes 96 mm of roll."""
    roll = {"shape": "roll", "width": 300}
    material = {"name": "sail cotton", "kind": "fabric"}
    pen = {"tool": {"kind": "pen"}, "bed": roll}
    _, text = sheet(run={"cutter": pen, "material": material})
    assert "Draw it once, then cut by hand" in text
    assert "Cut it once" not in text
    assert "and 96 mm more for the test" in text
    # Three of 96 mm lie across 300 mm, the fourth layer begins another row: 192 mm.
    beam = {"tool": LASER["tool"], "bed": roll}
    _, text = sheet(run={"cutter": beam, "material": material, "layers": 4})
    assert "and 192 mm more for the test" in text
    assert in_order(text, "Feed the roll's end in only if", "lid closes", "Never hold a lid open")
    _, text = sheet()
    assert "roll's end" not in text


@pytest.mark.long
def test_cloth_for_a_frame_and_a_press_is_said_with_the_test() -> None:
    """Cloth of 40 in, by hand.

    A hoop takes 99 and 3 pieces of 12 1/4 x 8 3/8 in: 3 across, 34 rows, 284.75 in, and 1 in to
    straighten the cloth's end, 8 yd of 288 in. A die takes 72 and 6 of 11 1/8 x 11 1/4 in,
    whose grain may run any way: 3 of 11 1/4 in across, 26 rows, 289.25 in, and 1 in, 8 1/8 yd of
    292.5.
    """
    for start, words in (("02", "8 yd"), ("04", "8 1/8 yd")):
        _, pages = _kit(start)
        assert f"To buy: {words} of cloth 40 in wide." in pages[0]
        assert "without selvedges" in pages[0]


def test_a_die_s_time_says_what_it_counts_and_nicks_are_not_bridges() -> None:
    """Twelve presses of 20 s are 4 min; laying 6 layers and snipping 18 ties are not counted."""
    found, pages = _kit("04")
    text = " ".join(pages)
    assert "About 20 s for each press, without laying and snipping." in text
    assert "about 4 min; of a die only pressing counts, not laying and snipping" in text
    (load,) = _loads(found)
    # Two nicks for each of 9 outlines.
    assert len(load.nicks) == 18
    assert load.bridges
    assert "nick: a tie to snip" in text
    assert "bridge in the die's back: no tie" in text


def test_equal_patches_of_one_cloth_are_one_heap() -> None:
    """B and C are the same square with the same allowance, of the same cloth; A is of another.

    Each of 24 bags takes 8 + 1 of B and 5 + 1 of C, 15 from the heap: 360 in all, 216 + 144. Each
    load says so as well, before anything is lifted off.
    """
    found, pages = _kit("07")
    text = " ".join(pages)
    assert in_order(
        text, "B and C are alike: lay them on one heap. Count 15 from it into each of 24 bags",
        "(360 in all): 9 (8 and 1 spare) for B, 6 (5 and 1 spare) for C.",
    )  # fmt: skip
    assert "9 of B into each" not in text
    for load in found.runs[-1].loads:
        assert "B and C are alike: lay them on one heap." in load.notes
    _, pages = _kit("04")
    assert "are alike" not in " ".join(pages)


def test_a_stack_s_single_layers_have_a_box_each() -> None:
    """Three loads of four layers, each cut once: without leave for a stack, four boxes each."""
    found, _ = _kit("07")
    leaves = [each for load in found.runs[-1].loads for each in load.stops if each.times]
    assert [each.times for each in leaves] == [4, 4, 4]
    assert all("one layer at a time" in each.message for each in leaves)
    # The boxes of the 19 loads of card end with four as well.
    assert run_sheet_text(found).count("    [ ] [ ] [ ] [ ]\n") == 3 + 1
    assert not any(each.times for load in _loads(_kit("06")[0])[:2] for each in load.stops)


def test_a_sheet_past_a_laser_s_bed_is_loaded_trimmed_and_exactly() -> None:
    """A sheet of 297 x 420 mm begins 0 mm above the lower edge of a bed 400 mm deep: 20 mm go.

    Pieces keep 1 mm from the sheet's edge, so that it is laid exactly.
    """
    found, pages = _kit("01")
    (load,) = _loads(found)
    assert load.stops[0].message == (
        "Load white card 160 g, trimmed to 297 mm x 400 mm (across x up the picture), its lower "
        "left corner exactly 5 mm from the bed's left edge and flush with its lower edge."
    )
    assert "297 x 420 mm, trimmed to 297 x 400 mm" in pages[0]
    # On a mat with 1/4 in kept free, no piece of a sheet as large as the mat comes near its edge.
    stops = [load.stops[0].message for load in _kit("03")[0].runs[1].loads]
    assert not any("exactly" in each for each in stops)


@pytest.mark.parametrize("start", ["05", "07"])
def test_a_roll_s_end_and_selvedge_have_a_place_in_words_and_in_the_picture(start: str) -> None:
    found, pages = _kit(start)
    rolls = [load for load in _loads(found) if load.ground.sheet is None]
    assert len(rolls) == 1
    assert (
        rolls[0]
        .stops[0]
        .message.endswith(
            "its end at the left and its lower selvedge below, their corner at the machine's zero "
            "corner."
        )
    )
    drawn = load_sketch(rolls[0], "", (90.0, 110.0)).sketch
    (corner,) = (shape for shape in drawn.ground if shape.look == looks.CORNER)
    left, bottom, *_ = corner.paths[0].bounds
    assert (left, bottom) == (0.0, 0.0)
    assert "the material's lower left corner" in pages[0]


def test_sizes_of_pieces_and_of_the_test_are_rounded_alike() -> None:
    """In 1/32 in: a hexagon of side 1 in is 1.7321 in across, 1 23/32 (1.7188), not 1 3/4.

    With 1/4 in all round it is 2.2321 in: 2 7/32 (2.2188) for both, as the test cut says.
    """
    _, pages = _kit("03")
    assert "Patch about 2 9/16 x 2 7/32 in, exactly" in " ".join(pages)
    assert "2 9/16 x 2 7/32 in." in " ".join(pages)


def test_joined_pages_are_drawn_and_numbered_as_the_file_has_them() -> None:
    """A4 across less 6.35 mm all round shows 284.3 x 197.3 mm; pages overlap by 10 mm.

    So three of them, one above the other, have their tops 187.3 mm apart.
    """
    found, pages = _kit("09")
    joined, single = _loads(found)
    assert [each.number for each in joined.pages] == [1, 2, 3]
    tops = [each.box.top for each in joined.pages]
    assert tops[1] - tops[2] == pytest.approx(187.3, abs=0.01)
    assert [each.number for each in single.pages] == [1]
    for load in (joined, single):
        words = {each.text for each in load_sketch(load, "", (90.0, 110.0)).sketch.words}
        assert {f"page {each.number}" for each in load.pages} <= words
    text = " ".join(pages)
    assert "row 1 from the top: page 1; row 2 from the top: page 2; row 3" in text
    assert "Join them before you cut anything out." in text
    assert "edge of a printed page" in text
    # Nothing is joined on a cutter that is no printer.
    assert not any(load.pages for load in _loads(_kit("01")[0]))


@pytest.mark.parametrize("room", [(100.0, 90.0), (60.0, 50.0)], ids=["large", "small"])
@pytest.mark.parametrize("start", ["02", "10"])
def test_the_number_of_every_pause_is_drawn(start: str, room: tuple[float, float]) -> None:
    """Whatever room there is: who misses a pause spoils a load."""
    paused = [load for load in _loads(_kit(start, counted=True)[0]) if load.pauses]
    assert paused
    for load in paused:
        words = load_sketch(load, "", room).sketch.words
        dark = {each.text for each in words if each.ground == looks.WAY}
        assert dark == {str(each) for each in load.pauses}


def test_loads_cut_in_turn_are_on_one_page() -> None:
    """Loads 1 and 2, 4 and 5 of the hoop are cut in turn, and each pair has room on a page."""
    found, pages = _kit("02")
    turned = [(each.number, each.turn_with) for each in _loads(found) if each.turn_with]
    assert turned == [(1, 2), (2, 1), (4, 5), (5, 4)]
    for first, second in ((1, 2), (4, 5)):
        (page,) = (each for each in pages if f"in turn with load {second}" in each)
        assert f"in turn with load {first}" in page


def test_the_office_is_told_which_setting_saves_long_counting() -> None:
    """121 strokes in a load are more than a person counts; 48 with two pauses are not."""
    found, pages = _kit("10", counted=True)
    (note,) = (each for each in found.office if "counted by eye" in each)
    assert "up to 121 strokes" in note
    assert 'Without "one_file_per": "load"' in note
    assert '"one_file_per": "load"' in pages[-1]
    assert "ask the office" in " ".join(pages)
    assert not any("counted by eye" in each for each in _kit("02", counted=True)[0].office)


@pytest.mark.parametrize(("start", "pauses"), [("02", 12), ("10", 1)])
def test_files_end_where_the_blade_is_turned_or_the_pen_taken_out(start: str, pauses: int) -> None:
    """Nobody counts strokes: each load names the file of each step.

    Of kit 02, 480 diamonds and 120 hexagons in 33 loads: loads 4 and 5, 18 diamonds each, have one
    turn of the blade and are cut 13 times each; 3 holds 12 diamonds and 6 hexagons, and 1, 2, 6 and
    7 hold hexagons, 21, 21, 18 and 12 of them, whose edges have three directions: two turns each.
    The sheet names 1 + 1 + 5 x 2 = 12. 2 + 2 loads of 21, one of 18 and one of 12 take 5.225 hoops;
    five of 21 and one of 9 would take 5.280.
    """
    found, pages = _kit(start)
    text = " ".join(pages)
    assert "after stroke" not in text
    assert not any(load.pauses or load.strokes for load in _loads(found))
    inside = [each.message for load in _loads(found) for each in load.stops if each.is_inside]
    assert len(inside) == pauses
    for load in _loads(found):
        steps = [each.message for each in load.stops if 'start "...' in each.message]
        assert len(steps) == (0 if len(load.files) == 1 else len(load.files))
        for step, name in zip(steps, load.files, strict=len(load.files) > 1):
            ending = step.partition('start "...')[2].rpartition('"')[0]
            assert name.partition(" (")[0].endswith(ending)
