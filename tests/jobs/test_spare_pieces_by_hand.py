"""The spare piece of a test, by hand: 12 mm of room on each side, as far as the material goes.

12 mm on each side is common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Json, Kit, Studio

_HALF = dict.fromkeys(("left", "right", "top", "bottom"), "1/2")


def _tumblers(studio: Studio, material: Json) -> Kit:
    """Return 80 tumblers, 4 9/16 x 4 1/2 in with their allowance, each on a charm of 5 x 5 in."""
    shape = {"kind": "tumbler", "top_width": "4", "bottom_width": "3", "height": "4"}
    pen = {
        "tool": {"kind": "pen"},
        "bed": {"width": "12 in", "height": "12 in"},
        "margins": dict.fromkeys(("left", "right", "top", "bottom"), "1/4"),
    }
    return studio.kit(
        {
            "title": "Tumbler charms",
            "units": "in",
            "pieces": [{"id": "T", "shape": shape, "quantity": 80, "seam_allowance": "1/4"}],
            "runs": [
                {
                    "cut": "patch",
                    "cutter": pen,
                    "material": {"name": "charms", "kind": "fabric", **material},
                }
            ],
        }
    )


def test_a_test_needs_no_more_than_a_load(studio: Studio) -> None:
    """4.566 + 2 x 0.472 = 5.511 in and 5.445 in: a charm of 5 in is enough for a load, and so here.

    81 charms of 5 x 5 in lie 8 side by side on 40 in, 11 rows: 55 in, and 1 in for the end of the
    cloth: 1 5/8 yd, 58 1/2 in.
    """
    kit = _tumblers(studio, {"width": "5", "height": "5"})
    assert kit.sheet.says("Get ready 80 pieces of charms, 5 x 5 in")
    assert kit.sheet.says("at least 5 in x 5 in")
    assert kit.sheet.says("To buy: 1 5/8 yd")


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (84, "For the test take a further piece of the stock."),
        (80, "The stock has nothing left for the test: get more."),
    ],
)
def test_a_test_from_a_pack_of_charms(studio: Studio, count: int, words: str) -> None:
    """80 of a pack's charms are cut; one of the others is as good for the test."""
    stock = [{"name": "charm pack", "width": 5, "height": 5, "count": count}]
    kit = _tumblers(studio, {"stock": stock})
    assert kit.sheet.says("at least 5 in x 5 in")
    assert kit.sheet.says(words)


def test_the_test_of_a_lost_piece_from_a_scrap(studio: Studio) -> None:
    """A hexagon of 2.577 x 2.232 in on a scrap of 4 x 3 in: 3 9/16 in, and 3 of 3 3/16 in."""
    shape = {"kind": "hexagon", "side": "1"}
    run = {
        "cut": "patch",
        "cutter": "laser-bed",
        "material": {"name": "tide cotton", "kind": "fabric"},
    }
    kit = studio.kit(
        {
            "units": "in",
            "pieces": [{"id": "A", "shape": shape, "quantity": 24, "seam_allowance": "1/4"}],
            "runs": [run],
        }
    )
    assert kit.sheet.says("at least 3 9/16 in x 3 3/16 in")
    again = studio.recut(kit, 1, {"A": 1}, material={"width": "4", "height": "3"})
    assert again.sheet.says("Get ready 1 piece of tide cotton, 4 x 3 in")
    assert again.sheet.says("at least 3 9/16 in x 3 in")


def _strips(studio: Studio, grain: Any, cloth: Json | None = None) -> Kit:
    """Return 4 strips of 30 1/2 x 3 in off a roll 44 in wide."""
    shape = {"kind": "rectangle", "width": "30", "height": "2 1/2"}
    strip = {"id": "S", "shape": shape, "quantity": 4, "seam_allowance": "1/4", "grain": grain}
    cutter = {
        "tool": {"kind": "laser", "kerf": "0.2 mm"},
        "bed": {"shape": "roll", "width": "44 in", "length": "3 yd"},
        "margins": _HALF,
    }
    run = {
        "cut": "patch",
        "cutter": cutter,
        "material": {"name": "canvas", "kind": "fabric", **(cloth or {})},
        "gap": "0.5 mm",
    }
    return studio.kit({"units": "in", "pieces": [strip], "runs": [run]})


@pytest.mark.parametrize("grain", ["half-turn", "free"])
def test_a_test_strip_lies_across_a_roll(studio: Studio, grain: str) -> None:
    """The strips lie across the roll: 4 x 3 in, 3 gaps and margins are 13 1/8 in of it.

    A spare piece of 31 1/2 x 4 in lies as they do, so 4 in are drawn off for it, not 31 1/2.
    13.07 + 3.945 in and 1 in for the cloth's end are 18.01 in: 5/8 yd, 22 1/2 in.
    """
    kit = _strips(studio, grain)
    assert kit.sheet.says("draw off 13 1/8 in in all, margins included, and 4 in more for the test")
    assert kit.sheet.says("at least 31 1/2 in x 4 in")
    assert kit.sheet.says("To buy: 5/8 yd of cloth 44 in wide")
    assert kit.run().payload["roll"]["buy"] == "5/8 yd"


def test_a_test_strip_along_the_grain_lies_along_a_roll(studio: Studio) -> None:
    """With the grain along the strips 30 1/2 in lie along the roll, and 31 1/2 in for the test.

    31.51 + 31.45 + 1 in are 63.96 in: 1 7/8 yd, 67 1/2 in.
    """
    kit = _strips(studio, [90, 270])
    assert kit.sheet.says("and 31 1/2 in more for the test")
    assert kit.sheet.says("To buy: 1 7/8 yd")


@pytest.mark.parametrize(
    ("length", "words"),
    [
        ("17.1", 'For the test draw 4 in more off "end of roll".'),
        ("16.9", "What is left of the stock is too small for the test: get more."),
    ],
)
def test_a_test_strip_of_what_a_roll_has_left(studio: Studio, length: str, words: str) -> None:
    """13.07 in are drawn off; the test takes 3.945 in more, 17.02 in all."""
    stock = [{"name": "end of roll", "width": "44", "roll": length}]
    assert _strips(studio, "half-turn", {"stock": stock}).sheet.says(words)


@pytest.mark.parametrize("is_shared", [True, False])
def test_no_single_piece_is_left_of_lines_in_common(studio: Studio, *, is_shared: bool) -> None:
    """A line that two triangles share is part of a longer one: none can be deleted for a test."""
    shape = {"kind": "half_square_triangle", "side": "3"}
    run = {
        "cut": "template",
        "cutter": "laser-bed",
        "material": {"name": "card", "kind": "card"},
        "common_line": is_shared,
    }
    pieces = [{"id": "H", "shape": shape, "quantity": 4}]
    sheet = studio.kit({"units": "in", "pieces": pieces, "runs": [run]}).sheet
    assert sheet.says("a recut of one from the office")
    if is_shared:
        assert sheet.says("Its own sheet says where the spare piece lies")
        assert sheet.is_silent_about("deleted")
    else:
        assert sheet.says("or load 1, all but its lower left H deleted")
