"""Sets of both hands and squares from two plies face to face: whole sets on every load."""

from __future__ import annotations

from typing import Any

from tests.jobs import foreign
from tests.jobs.studio import Studio


def request(right: int, left: int, squares: int) -> dict[str, Any]:
    triangle = {"kind": "right_triangle", "width": 100, "height": 50}
    return {
        "title": "Pilot flags",
        "units": "mm",
        "pieces": [
            {"id": "R", "shape": {**triangle, "hand": "right"}, "quantity": right},
            {"id": "L", "shape": {**triangle, "hand": "left"}, "quantity": left},
            {"id": "SQ", "shape": {"kind": "square", "side": 100}, "quantity": squares},
        ],
        "runs": [
            {
                "cut": "patch",
                "sets": True,
                "layers": 2,
                "stack": "face_to_face",
                "gap": 1,
                "ties": {"count": 0},
                "cutter": {
                    "tool": {"kind": "laser", "kerf": 0},
                    "bed": {"width": 203, "height": 360},
                },
                "formats": ["svg"],
                "material": {"name": "bunting", "kind": "fabric"},
            }
        ],
    }


def test_sets_of_both_hands(studio: Studio) -> None:
    """Seven sets of a right, a left and three squares; an outline gives a piece of each ply.

    Two sets take 2 triangles of one hand (the plies that lie face down give the other) and 3
    squares. Two columns of 100 mm hold 3 squares each and two triangles that make a rectangle of
    100 x 50 with 1 mm between their long sides: 300 + 50 + 1.12 + 3 = 354.1 of 360 mm. So a load
    has 6 squares and 4 triangles, four sets; three times 3 squares and 2 triangles are 105,000 mm2
    of 73,080. 7 sets: 7 triangles and 21 / 2 = 11 squares, one to spare; the second load has 3
    triangles and 5 squares, 3 sets and that spare.
    """
    kit = studio.kit(request(7, 7, 21))
    run = kit.run()
    assert "full set" not in kit.warnings
    assert run.load_count == 2
    made = [dict(load.pieces) for load in run.loads]
    assert made == [{"R": 4, "L": 4, "SQ": 12}, {"R": 3, "L": 3, "SQ": 10}]
    assert run.total("R") == run.total("L") == (7, 7, 0)
    assert run.total("SQ") == (21, 22, 1)
    for load, triangles, squares in zip(run.loads, (4, 3), (6, 5), strict=True):
        areas = sorted(each.area for each in foreign.cells(foreign.svg(load.file("svg"))))
        assert [round(each) for each in areas] == [2500] * triangles + [10000] * squares
    assert kit.sheet.together("Sets", "7", "1 of R", "1 of L", "3 of SQ")


def test_sets_of_unequal_hands(studio: Studio) -> None:
    """Four sets of two rights, a left and three squares: rights alone make enough lefts.

    Two sets take 4 outlines of the right hand, which give 4 lefts where 2 are wanted, and 3
    squares: 4 x 2500 + 3 x 10,000 = 40,000 mm2, so two such sets are more than the bed's 73,080.
    One of them fits (above there are 3 squares more): 2 sets a load, two equal loads.
    """
    run = studio.kit(request(8, 4, 12)).run()
    assert [(load.repeats, load.pieces) for load in run.loads] == [(2, {"R": 4, "L": 4, "SQ": 6})]
    assert run.total("R") == (8, 8, 0)
    assert run.total("L") == (4, 8, 4)
    assert run.total("SQ") == (12, 12, 0)
