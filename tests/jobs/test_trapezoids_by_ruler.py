"""Trapezoids and other pieces of one's own, cut from strips by ruler: pairs, and alternate turns.

The piece of the first two jobs is what a triangle of 6 by 3 in leaves of a block of 6 in: parallel
sides of 6 and 3 in, 6 in apart. With 1/4 in all round they are 6 1/2 in apart. The slanted side
leans by 1 in 2, so 1/4 in beside it is 0.25 x sqrt(1.25) = 0.2795 in upwards: at the long end the
piece is 6 + 0.25 + 0.2795 + 0.125 = 6.6545 in long, at the short end 3 + 0.25 + 0.2795 - 0.125 =
3.4045 in. By ruler 6 11/16 and 3 7/16 in: two of them, turned against each other, take a rectangle
of 6 1/2 by 10 1/8 in.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.jobs.studio import Json, Studio

INCH = 25.4
TRAPEZOID = [[0, 0], [6, 3], [6, 6], [0, 6]]


def cloth(
    studio: Studio, points: list[list[int]], quantity: int, allowance: str, grain: str
) -> Any:
    """Return the cloth for a piece of one's own, from 40 in."""
    piece = {
        "id": "A",
        "shape": {"kind": "custom", "points": points},
        "quantity": quantity,
        "seam_allowance": allowance,
        "grain": grain,
    }
    found = studio.calculated("/v1/yardage", {"units": "in", "pieces": [piece]})
    return found["fabrics"][0]


@pytest.mark.parametrize("grain", ["free", "half-turn"])
def test_two_share_a_rectangle(studio: Studio, grain: str) -> None:
    """32 pieces are 16 rectangles, 6 across 40 in (39 in): 3 strips of 10 1/8 in, 30 3/8 in.

    Turned alternately along the slant, 7 to a strip of 6 1/2 in, they take 32 1/2 in; side by side
    39 in. As drawn, in strips of 6 11/16 in, they take 40 1/8 in.
    """
    found = cloth(studio, TRAPEZOID, 32, "1/4", grain)
    rows = found["methods"]["rows"]
    assert rows["length_mm"] == pytest.approx(30.375 * INCH)
    assert found["methods"]["layout"]["length_mm"] <= rows["length_mm"]
    assert found["cutting"]["instructions"][-1] == (
        "Cut 3 strips 10 1/8 in x width of fabric; from them 16 rectangles 6 1/2 in by 10 1/8 in, "
        "6 to a strip; on each mark 6 11/16 in from two opposite corners along the 10 1/8 in "
        "sides, as drawn, and cut from mark to mark: 32 pieces."
    )
    assert found["pieces"][0]["method"] == (
        "in pairs: 2 from each rectangle of 6 1/2 in by 10 1/8 in, cut along a slanted line; "
        "16 rectangles"
    )


def test_a_drawn_strip_is_cut_as_the_piece_is(studio: Studio) -> None:
    """The first piece is drawn with its long side of 6 11/16 in at the left, where it has it.

    A drawing's y axis goes up from the strip's lower edge; mirrored pieces would not fit the block.
    """
    found = cloth(studio, TRAPEZOID, 32, "1/4", "half-turn")
    drawn = re.findall(r'class="piece" d="([^"]*)"', found["cutting"]["picture"])
    # Pictures have thousandths of mm.
    corners = [tuple(map(float, each)) for each in re.findall(r"([\d.]+) ([\d.]+)", drawn[0])]
    wide, long, short = 6.5 * INCH, 6.6875 * INCH, 3.4375 * INCH
    # Turned half round, with its level side below: the long side is at the right.
    wanted = {(0.0, 0.0), (wide, 0.0), (wide, long), (0.0, short)}
    assert {(round(x, 1), round(y, 1)) for x, y in corners} == {
        (round(x, 1), round(y, 1)) for x, y in wanted
    }


def test_grain_that_allows_no_turn_takes_rows_side_by_side(studio: Studio) -> None:
    """The box is 6 1/2 by 6.6545 in, by ruler 6 11/16: 6 to a strip, 6 strips, 40 1/8 in."""
    found = cloth(studio, TRAPEZOID, 32, "1/4", "fixed")
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(6 * 6.6875 * INCH)


BURGEES: Json = {
    "units": "in",
    "block": {
        "size": 6,
        "pieces": [
            {"points": [[0, 0], [6, 0], [6, 3]], "colour": "navy"},
            {"points": [[0, 0], [6, 3], [6, 6], [0, 6]], "colour": "cream"},
        ],
    },
    "quilt": {"width": 24, "length": 24},
    "setting": {"mirrored": [[False, True]]},
    "kits": 2,
}


def test_both_hands_share_strips(studio: Studio) -> None:
    """16 pieces of each hand, in strips of 6 1/2 and 10 1/8 in.

    A: 8 rectangles of 10 1/8 in, 3 to a strip of 6 1/2 in: 3 strips. The first two have 9 5/8 in
    left, the third 19 3/4 in. A piece of B is 6.6545 in long: one goes into each of the first two,
    and three, turned alternately (6.6545 + 3.4045 + 6.6545 = 16.7 in), into the third. Its other 11
    are 6 rectangles of one strip of 10 1/8 in. 3 x 6 1/2 + 10 1/8 = 29 5/8 in. In strips of
    6 1/2 in alone, turned alternately, 5 strips take 32 1/2 in; side by side 6 strips, 39 in.
    """
    plan = studio.calculated("/v1/quilt-plans", BURGEES)
    cream = next(each for each in plan["materials"]["fabrics"] if each["fabric"] == "cream")
    assert cream["methods"]["rows"]["length_mm"] == pytest.approx(29.625 * INCH)
    assert sum(each["needed"] for each in cream["pieces"]) == 32


def test_scalene_triangles_are_turned_alternately(studio: Studio) -> None:
    """A triangle of 6 in, its tip 2 in from one end and 4 in above: two make a parallelogram.

    The first takes 6 in of a strip, each further one 3 in: 1 + (40 - 6) / 3 = 12 to a strip of
    4 in. 30 are 3 strips, 12 in; side by side, 6 in each, 6 to a strip, they are 5 strips, 20 in.
    """
    found = cloth(studio, [[0, 0], [6, 0], [2, 4]], 30, "0", "half-turn")
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(12 * INCH)
    assert "30 pieces, turned alternately, 12 to a strip." in found["cutting"]["instructions"][-1]


def test_a_quadrilateral_without_parallel_sides_is_turned_alternately(studio: Studio) -> None:
    """Corners (0, 0), (6, 0), (5, 3), (1, 4) in: from a piece to the turned one it is 4 2/3 in.

    The side from (6, 0) to (5, 3) leans by 1 in 3, and so does that of the turned piece beside it,
    from (1, 1) to (0, 4): 6 - y / 3 - (1 - (y - 1) / 3) = 4 2/3 in at every height y. From the
    turned one on it is 5 in, so a pair takes 9 2/3 in. Three pairs and 5 in more leave 6 in of
    40 in for the eighth piece: 24 are 3 strips of 4 in, 12 in. Side by side, 6 in each, they are
    4 strips, 16 in.
    """
    found = cloth(studio, [[0, 0], [6, 0], [5, 3], [1, 4]], 24, "0", "half-turn")
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(12 * INCH)
    assert "24 pieces, turned alternately, 8 to a strip." in found["cutting"]["instructions"][-1]
