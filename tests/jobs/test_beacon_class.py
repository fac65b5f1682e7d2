"""A class of 24: one bag for each learner, three fabrics, card templates, a tenth to spare."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Json, Kit, Studio

LEARNERS = 24


def _square(name: str, quantity: int) -> Json:
    return {
        "id": name,
        "shape": {"kind": "square", "side": "50"},
        "quantity": quantity,
        "seam_allowance": "6",
        "grain": "half-turn",
    }


def _laser(width: str, height: str) -> Json:
    return {
        "tool": {"kind": "laser", "kerf": "0"},
        "bed": {"width": width, "height": height},
        "speed": 50,
        "travel_speed": 400,
        "stop_s": 60,
    }


def _run(material: Json, **more: Any) -> Json:
    return {"gap": "2", "formats": ["svg"], "effort": "quick", "material": material, **more}


REQUEST: Json = {
    "title": "Beacon block class",
    "reference": "SPRING TERM",
    "units": "mm",
    "copies": LEARNERS,
    "spares": {"percent": 10},
    "pieces": [_square("A", 12), _square("B", 8), _square("C", 5)],
    "runs": [
        _run(
            {
                "name": "card 200 g",
                "kind": "card",
                "width": "330",
                "height": "330",
                "edge_clearance": "5",
            },
            cut="template",
            cutter=_laser("400", "400"),
            merge_identical=True,
        ),
        _run(
            {"name": "blue cotton", "kind": "fabric"},
            cut="patch",
            pieces=[{"id": "A"}],
            cutter={
                "tool": {"kind": "pen"},
                "bed": {"shape": "roll", "width": "1100"},
                "margins": {"left": "10", "right": "10", "top": "10", "bottom": "10"},
            },
        ),
        _run(
            {
                "name": "white cotton",
                "kind": "fabric",
                "width": "450",
                "height": "550",
                "edge_clearance": "5",
            },
            cut="patch",
            pieces=[{"id": "B"}],
            cutter=_laser("600", "600"),
            layers=2,
        ),
        _run(
            {
                "name": "sand cotton",
                "kind": "fabric",
                "width": "450",
                "height": "550",
                "edge_clearance": "5",
            },
            cut="patch",
            pieces=[{"id": "C"}],
            cutter=_laser("600", "600"),
        ),
    ],
}


@pytest.fixture(scope="module")
def kit(studio: Studio) -> Kit:
    return studio.kit(REQUEST)


def test_the_class_is_cut_in_copies(kit: Kit) -> None:
    """Each bag holds 12 A, 8 B, 5 C, and a tenth more, rounded up: 2, 1, 1 (1.2, 0.8, 0.5).

    That is 14, 9, 6 per bag, and 336, 216, 144 in 24 bags; without spares 288, 192, 120.

    The templates of A, B and C are alike, squares of 50 mm: one heap of 14 + 9 + 6 = 29 per bag,
    696 in all, 600 needed and 96 spare. A sheet of card of 330 mm leaves 320 inside its clearance;
    (320 + 2) / (50 + 2) = 6.19, so 6 x 6 = 36 upright squares and no more. 696 = 19 x 36 + 12:
    20 sheets. As three kinds for themselves they would be kept apart for nothing.

    A patch is 50 + 2 x 6 = 62 mm. Blue on a roll of 1100 mm with margins of 10: (1080 + 2) / 64 =
    16.9, so 16 across; 336 / 16 = 21 rows, 21 x 64 - 2 + 2 x 10 = 1362 mm of the roll.
    White and sand on sheets of 450 x 550, 440 x 540 inside: (442 / 64 = 6.9) x (542 / 64 = 8.5),
    6 x 8 = 48. White in two layers: 216 / 2 = 108 outlines = 2 x 48 + 12: 3 loads. Sand: 144 = 3 x
    48: 3 loads. All loads: 20 + 1 + 3 + 3 = 27.
    """
    assert kit.payload["copies"] == LEARNERS
    assert [(each["quantity"], each["total_quantity"]) for each in kit.payload["pieces"]] == [
        (12, 288),
        (8, 192),
        (5, 120),
    ]
    card, blue, white, sand = kit.runs
    assert card.outlines == {"A": 696}
    assert [(load.outlines["A"], load.repeats) for load in card.loads] == [(36, 19), (12, 1)]
    assert card.total("A") == (600, 696, 96)
    assert card.payload["totals"]["A"]["per_copy"] == {
        "A": {"needed": 12, "spares": 2},
        "B": {"needed": 8, "spares": 1},
        "C": {"needed": 5, "spares": 1},
    }
    for run, piece, total, per_copy, loads in (
        (blue, "A", (288, 336, 48), (12, 2), 1),
        (white, "B", (192, 216, 24), (8, 1), 3),
        (sand, "C", (120, 144, 24), (5, 1), 3),
    ):
        assert run.total(piece) == total
        needed, spares = per_copy
        assert run.payload["totals"][piece]["per_copy"] == {
            piece: {"needed": needed, "spares": spares}
        }
        assert run.load_count == loads
    assert blue.payload["roll"]["length_mm"] == pytest.approx(1362.0, abs=0.01)
    assert kit.payload["totals"]["loads"] == 27
    # The file of a full load of card, as another library reads it.
    squares = foreign.hulls(foreign.svg(card.loads[0].file("svg"))).values()
    assert len(squares) == 36
    # The beam comes in from the waste, less than half a gap away: the hull has that corner too.
    assert all(2499.9 <= each.area <= 52.0**2 for each in squares)


def test_the_class_is_packed_in_bags(kit: Kit) -> None:
    """24 labels, one per bag: title, contents with sizes, the kit's number and the copy of 24.

    Templates: 12 + 8 + 5 = 25 and 2 + 1 + 1 = 4 spare. Every bag holds the same four lines.
    """
    number = kit.payload["number"]
    for copy in range(1, LEARNERS + 1):
        assert kit.labels.together(f"copy {copy} of {LEARNERS}", "Beacon block class", within=5)
    for count, spare, words in (
        (25, 4, "templates"),
        (12, 2, "patches"),
        (8, 1, "patches"),
        (5, 1, "patches"),
    ):
        assert kit.labels.together(f"{count} + {spare} spare", words, within=30)
    assert kit.labels.says("50 mm", "6 mm", "card 200 g", "blue cotton", number, "SPRING TERM")
    assert kit.labels.text.count(number.lower()) == LEARNERS
    assert kit.sheet.says(number, 24, 696, 29)
    assert kit.sheet.counts("A", 288, 336, 48)
    # How to sort the heap: what of each bag's 29 is for which piece.
    assert kit.sheet.together("14", "A", "9", "B", "6", "C", within=40)


@pytest.mark.long
def test_the_bags_come_as_a_preview_too(studio: Studio, kit: Kit) -> None:
    """The preview counts as the kit does: it is the same computation without files."""
    payload = studio.calculated("/v1/layouts", {**REQUEST, "runs": REQUEST["runs"][:1]})
    assert payload["copies"] == LEARNERS
    assert [run["totals"] for run in payload["runs"]] == [kit.run(1).payload["totals"]]


def test_a_lost_bag_is_cut_again_without_the_class(studio: Studio, kit: Kit) -> None:
    """One learner lost 3 blue patches: 3, not 3 x 24, and none to spare."""
    recut = studio.recut(kit, 2, {"A": 3})
    assert recut.run().total("A") == (3, 3, 0)
    assert recut.payload["copies"] == 1


def test_spares_in_pieces_and_templates_used_again(studio: Studio) -> None:
    """12 uses of templates that are used 5 times: 3 templates per bag (2.4), and 2 to spare.

    4 bags: 12 needed, 5 x 4 = 20 made, 8 spare. Not 48 / 5 = 10 of one heap: a bag has its own.
    Without any the same run makes 3 templates.
    """
    piece = _square("A", 12)
    run = {**REQUEST["runs"][0], "reuse": 5}
    plain: Json = {"title": "Pairs", "units": "mm", "pieces": [piece], "runs": [run]}
    kit = studio.kit({**plain, "copies": 4, "spares": {"pieces": 2}})
    assert kit.run().total("A") == (12, 20, 8)
    assert kit.run().payload["totals"]["A"]["per_copy"] == {"A": {"needed": 3, "spares": 2}}
    assert studio.kit(plain).run().total("A") == (3, 3, 0)


def test_unlike_pieces_are_no_heap(studio: Studio) -> None:
    """Labels on the pieces make them differ: nothing is merged, and a warning says so."""
    pieces = [{**_square(name, 2), "label": True} for name in "AB"]
    kit = studio.kit(
        {"title": "Named", "units": "mm", "pieces": pieces, "runs": [REQUEST["runs"][0]]}
    )
    assert kit.run().outlines == {"A": 2, "B": 2}
    assert "alike" in kit.warnings


@pytest.mark.parametrize(
    ("member", "value", "pointers"),
    [
        ("copies", 0, ["#/copies"]),
        ("copies", "24", ["#/copies"]),
        ("copies", 1001, ["#/copies"]),
        ("spares", {}, ["#/spares"]),
        ("spares", {"percent": 10, "pieces": 1}, ["#/spares"]),
        ("spares", {"percent": 101}, ["#/spares/percent"]),
        ("spares", {"pieces": -1}, ["#/spares/pieces"]),
        ("spares", 10, ["#/spares"]),
        ("pieces", [_square("A", 50_000)], ["#/copies"]),
    ],
)
def test_copies_that_cannot_be_made_are_refused(
    studio: Studio, member: str, value: object, pointers: list[str]
) -> None:
    body = {**REQUEST, "runs": REQUEST["runs"][:2], member: value}
    problem = studio.refused(body)
    assert [each["pointer"] for each in problem["errors"]] == pointers
