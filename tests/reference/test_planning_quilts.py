"""Quilts, flowers, beds against published statements; where those are wrong, it is said.

Addresses of makers' and people's own pages are left out; those sources are named by what they
are. "derived" means exact mathematics written out beside the value. Lengths in inches.
"""

import math

import pytest

from geometry.measure import area
from geometry.planning.assembly import assemble, count_parts
from geometry.planning.flowers import in_flower, per_flower
from geometry.planning.seams import seams_of, whipstitches
from geometry.planning.tilings import TILINGS
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH
from service.planning.beds import MATTRESSES_IN, mattress, quilt_size
from service.planning.colours import ColourPlan, Flower, colours_of

ROOT3 = math.sqrt(3)


def hexagons_per_square_inch(side: float) -> float:
    return INCH**2 / area(build("hexagon", {"side": side * INCH}))


def test_c28_flower_totals() -> None:
    # published: 1, 7, 19 and 18 in the third round (a hobbyist's and an educator's counts of
    # hexagon flowers); derived: 1 + 3k(k + 1)
    assert [in_flower(rounds) for rounds in range(7)] == [1, 7, 19, 37, 61, 91, 127]
    assert in_flower(3) - in_flower(2) == 18


def test_c29_hexagons_of_a_flower_with_one_shared_path() -> None:
    # published: 12 per repeat, 1 + 6 + 5 of path (a hobbyist's quilt of about 2000 hexagons);
    # derived: 3 (k + 1)^2 of the closest regular setting. An educator's 14 and 29 are generous.
    assert [per_flower(rounds, 1) for rounds in (1, 2, 3)] == [12, 27, 48]


@pytest.mark.parametrize(("rounds", "path"), [(1, 0), (1, 1), (1, 2), (2, 1), (2, 3), (3, 1)])
def test_c29_the_drawn_plane_has_flowers_in_that_share(rounds: int, path: int) -> None:
    # A big field: the share of each part tends to its share in one repeat; the edge is 4 in n.
    plane = TILINGS["hexagon_flower"].draw({"side": INCH})
    made = assemble(plane, 150 * INCH, 150 * INCH, sides="whole", ends="whole")
    flower = Flower(rounds, path)
    found = colours_of(made, ColourPlan("rounds", ()), flower=flower)
    repeat = per_flower(rounds, path)
    for number, name in enumerate(flower.names):
        in_round = 6 * number if number else 1
        one = in_round if name != "path" else repeat - in_flower(rounds)
        assert found.count(name) / len(found) == pytest.approx(one / repeat, rel=0.05)


def test_c30_hexagons_of_a_flower_garden() -> None:
    # published: 218 flowers of 19 are 4142 hexagons (a quilter's finished piece)
    assert 218 * in_flower(2) == 4142


@pytest.mark.parametrize(
    ("tiling", "span"), [("six_point_star", 3.464102), ("eight_point_star", 3.695518)]
)
def test_c31_stars_tip_to_tip(tiling: str, span: float) -> None:
    # derived: 2 sqrt(3) s and 4 s cos(22.5 degrees)
    plane = TILINGS[tiling].draw({"side": 1.0})
    tips = [
        vertex for each in plane.protos if each.role == "star" for vertex in each.outline.vertices
    ]
    assert 2 * max(math.hypot(tip.x, tip.y) for tip in tips) == pytest.approx(span, abs=1e-6)


def test_c31_an_eight_point_star_block_is_3_41421_sides_wide() -> None:
    # derived: (2 + sqrt 2) s
    made = assemble(TILINGS["eight_point_star"].draw({"side": 10.0}), 1.0, 1.0)
    assert made.bounds.width == pytest.approx(34.1421, abs=1e-4)
    assert count_parts(made)["whole"] == 8 + 4 + 4


def test_c41_hexagons_over_a_quilt_by_area() -> None:
    # published: "about 2000" of 1 1/2 in for 100 x 112 in, 4.4 % to spare; derived: 1915.9
    by_area = 100 * 112 * hexagons_per_square_inch(1.5)
    assert by_area == pytest.approx(1915.9, abs=0.1)
    assert by_area == pytest.approx(2000, rel=0.05)
    plane = TILINGS["hexagon"].draw({"side": 1.5 * INCH})
    made = assemble(plane, 100 * INCH, 112 * INCH, sides="whole", ends="whole")
    # Whole pieces only, reaching the size with their points: within the jagged edge of it.
    assert len(made.placed) == pytest.approx(by_area, rel=0.04)


def test_c42_a_square_quilt_of_four_inch_hexagons() -> None:
    # published: 184 whole and 14 half in 13 columns and 15 rows; the grid is right, the count
    # is not. derived: 8 rows of 13 and 7 rows of 12 with a half at each side.
    plane = TILINGS["hexagon"].draw({"side": 4 * INCH})
    made = assemble(plane, 90 * INCH, 90 * INCH, sides="filled", ends="whole")
    assert count_parts(made) == {"whole": 8 * 13 + 7 * 12, "half": 2 * 7, "trimmed": 0}
    assert (made.across.count, made.along.count) == (13, 15)
    assert made.bounds.width / INCH == pytest.approx(13 * 4 * ROOT3)
    assert made.bounds.height / INCH == pytest.approx(14 * 6 + 8)


def test_c43_hexagons_per_block() -> None:
    # derived: 100 / 2.598076 = 38.49 of 1 in; an educator's table has 52 (35 % over, and says
    # that it is generous)
    assert 100 * hexagons_per_square_inch(1) == pytest.approx(38.49, abs=0.01)


@pytest.mark.parametrize(
    ("bed", "width", "length"),
    [("twin", 63, 87), ("full", 78, 87), ("queen", 84, 92), ("king", 100, 92)],
)
def test_c44_a_drop_of_twelve_inches_on_three_sides(bed: str, width: int, length: int) -> None:
    # published: a table of bed quilts, and a worked twin in another source
    size = quilt_size(*mattress(bed), drop=12 * INCH, tuck=0.0)
    assert size == pytest.approx((width * INCH, length * INCH), abs=1e-9)


def test_c51_the_crib_is_within_the_rule() -> None:
    # published: 16 CFR 1241, full-size crib interior 28 +/- 5/8 by 52 3/8 +/- 5/8 in
    assert MATTRESSES_IN["crib"] == (28.0, 52.375)
    width, length = mattress("crib")
    assert (width, length) == pytest.approx((711, 1330), abs=0.5)


def test_whipstitches_of_known_seams() -> None:
    # derived: n x m squares of side s share n(m - 1) + m(n - 1) edges
    made = assemble(TILINGS["square"].draw({"side": 2 * INCH}), 8 * INCH, 6 * INCH)
    seams = seams_of(made)
    assert seams.count == 4 * 2 + 3 * 3
    assert seams.length == pytest.approx(17 * 2 * INCH)
    assert seams.outside == pytest.approx(28 * INCH)
    # published: 6 to 16 whipstitches to the inch
    assert [whipstitches(seams.length, per_inch) for per_inch in (6, 10, 16)] == [204, 340, 544]


@pytest.mark.parametrize("name", TILINGS)
def test_what_is_not_sewn_is_the_rim(name: str) -> None:
    # derived: with straight edges all round, every edge but those on the rim is shared by two
    sizes = {"side": 40.0, "width": 60.0, "height": 40.0, "length": 60.0}
    plane = TILINGS[name].draw(sizes)
    made = assemble(plane, 400.0, 330.0, sides="filled", ends="filled")
    rim = 2 * (made.bounds.width + made.bounds.height)
    assert seams_of(made).outside == pytest.approx(rim, rel=1e-9)
