"""Flowers, stars and grids of hexagons against published counts and closed forms."""

import math
from collections import Counter

import pytest

from geometry.planning.assembly import assemble
from geometry.planning.flowers import in_flower, per_flower, round_of
from geometry.planning.pieces import needs
from geometry.planning.tilings import TILINGS
from geometry.units import MM_PER_INCH as INCH
from service.planning.colours import ColourPlan, Flower, colours_of


@pytest.mark.parametrize(("rounds", "each"), [(1, 12), (2, 27), (3, 48)])
def test_c29_hexagons_a_flower_takes_with_its_share_of_one_path(rounds: int, each: int) -> None:
    # published: 12 a repeat for the flower of 7, 1 + 6 + 5 of path
    # (a hobbyist of about 2000 hexagons); derived: 3(k + 1)^2
    assert per_flower(rounds, 1) == each
    # Counted on the plane itself: flowers repeat after `each` steps both ways.
    found = Counter(round_of(q, r, rounds, 1) for q in range(each) for r in range(each))
    expected: dict[int | None, int] = {None: each - in_flower(rounds), 0: 1}
    expected |= {number: 6 * number for number in range(1, rounds + 1)}
    assert found == {number: count * each for number, count in expected.items()}


def test_c29_every_flower_is_parted_from_the_next_by_one_hexagon() -> None:
    # derived: no hexagon of a flower touches a hexagon of another
    neighbours = ((1, 0), (0, 1), (-1, 1), (-1, 0), (0, -1), (1, -1))
    for q in range(12):
        for r in range(12):
            number = round_of(q, r, 1, 1)
            beside = [round_of(q + dq, r + dr, 1, 1) for dq, dr in neighbours]
            if number == 0:
                assert beside == [1] * 6
            elif number == 1:
                # Its centre, two of its own round, three of path.
                assert sorted(-1 if each is None else each for each in beside) == [
                    -1,
                    -1,
                    -1,
                    0,
                    1,
                    1,
                ]


def _hexagon_area(side: float) -> float:
    return 1.5 * math.sqrt(3.0) * side * side


def _a_quilt_of_hexagons(side: float, width: float, length: float) -> int:
    plane = TILINGS["hexagon"].draw({"side": side * INCH})
    made = assemble(plane, width * INCH, length * INCH, sides="whole", ends="whole")
    return len(made.placed)


def test_c42_ninety_inches_of_four_inch_hexagons() -> None:
    # A web page on how many hexagons a quilt takes has the grid right, 15 rows
    # of 13 in turn with 12 and two halves, and prints 184 whole and 14 half: 184 is wrong.
    # derived: 8 x 13 + 7 x 12 = 188 whole, 7 x 2 = 14 half, 90.07 x 92 in
    plane = TILINGS["hexagon"].draw({"side": 4 * INCH})
    made = assemble(plane, 90 * INCH, 90 * INCH, sides="filled", ends="whole")
    found = needs(made, ["one"] * len(made.placed))
    result = {(need.shape.kind, need.part): need.count for need in found}
    assert result == {("hexagon", "whole"): 188, ("half_hexagon", "half"): 14}
    rows = Counter((piece.row, piece.part) for piece in made.placed)
    assert [rows[row, "whole"] for row in range(15)] == [13, 12] * 7 + [13]
    assert made.bounds.width == pytest.approx(90.0666 * INCH, abs=1e-4 * INCH)
    assert made.bounds.height == pytest.approx(92 * INCH, abs=1e-6)


def test_c43_hexagons_of_a_ten_inch_block() -> None:
    # An educator prints 52 one-inch hexagons for 10 x 10 in and calls it generous: 35 % over.
    # derived: 100 / 2.598076
    assert 100 / _hexagon_area(1) == pytest.approx(38.49, abs=0.01)
    # The limit of plans on ever larger quilts, per 100 square inches.
    wide = _a_quilt_of_hexagons(1, 300, 300)
    assert wide / 900 == pytest.approx(38.49, rel=0.01)


def test_flowers_on_a_quilt_keep_their_parts_in_proportion() -> None:
    # derived: of 12 hexagons 1 is a centre, 6 a round and 5 path, far from the edges
    plane = TILINGS["hexagon_flower"].draw({"side": 10.0})
    made = assemble(plane, 2400.0, 2400.0)
    colours = colours_of(made, ColourPlan(), flower=Flower(1, 1))
    inner = Counter(
        colour
        for piece, colour in zip(made.placed, colours, strict=True)
        if 300 <= piece.x < 300 + 12 * 10 * math.sqrt(3) * 7 and 20 <= piece.row < 20 + 12 * 10
    )
    assert inner == {"centre": 840, "round 1": 5040, "path": 4200}
