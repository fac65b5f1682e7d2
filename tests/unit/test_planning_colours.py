"""Colour placement, paper by the sheet, money and time, each against counts known beforehand."""

import math
from collections import Counter

import pytest

from geometry.errors import GeometryError
from geometry.planning.assembly import Assembly, assemble, turned
from geometry.planning.sheets import PaperSheet, sheets_of, templates_needed
from geometry.planning.tilings import TILINGS
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH
from service.planning.colours import ColourPlan, colours_of
from service.planning.cost import Prices, Speeds, basting_s, bill, sewing_s

NUMBERS = tuple(str(number) for number in range(40))


def squares(across: int, along: int) -> Assembly:
    return assemble(TILINGS["square"].draw({"side": 10.0}), 10.0 * across, 10.0 * along)


@pytest.mark.parametrize("on_side", [False, True])
def test_rounds_of_hexagons_have_six_more_each(on_side: bool) -> None:
    # derived: round k of the honeycomb has 6k; the first four lie wholly inside this quilt
    plane = TILINGS["hexagon"].draw({"side": 10.0})
    made = assemble(turned(plane) if on_side else plane, 200.0, 200.0)
    counts = Counter(colours_of(made, ColourPlan("rounds", NUMBERS), on_side=on_side))
    assert [counts[str(number)] for number in range(5)] == [1, 6, 12, 18, 24]


def test_rounds_of_squares_have_eight_more_each() -> None:
    # derived: (2k + 1)^2 - (2k - 1)^2 = 8k
    counts = Counter(colours_of(squares(9, 9), ColourPlan("rounds", NUMBERS)))
    assert [counts[str(number)] for number in range(5)] == [1, 8, 16, 24, 32]


def test_rows_start_at_the_lower_end() -> None:
    made = squares(3, 5)
    found = colours_of(made, ColourPlan("rows", ("a", "b")))
    assert found == ("a",) * 3 + ("b",) * 3 + ("a",) * 3 + ("b",) * 3 + ("a",) * 3
    assert made.placed[0].y < made.placed[-1].y


def test_a_repeat_goes_along_each_row_and_shifts() -> None:
    found = colours_of(squares(4, 2), ColourPlan("repeat", ("a", "b", "c"), shift=1))
    assert found == ("a", "b", "c", "a", "b", "c", "a", "b")


def test_a_repeat_of_twelve_shares_out_as_published() -> None:
    # published: 12 hexagons per repeat, 1 + 2 + 3 + 6 colours: 167/333/500/1000 of 2000
    names = ("one",) * 1 + ("two",) * 2 + ("three",) * 3 + ("six",) * 6
    made = squares(2000, 1)
    counts = Counter(colours_of(made, ColourPlan("repeat", names)))
    found = [counts[name] for name in ("one", "two", "three", "six")]
    # derived: 2000 = 166 x 12 + 8, the last repeat giving 1 + 2 + 3 + 2
    assert found == [167, 334, 501, 998]
    assert found == pytest.approx([167, 333, 500, 1000], abs=2)


def test_places_take_their_names_in_order() -> None:
    made = assemble(TILINGS["octagon_square"].draw({"side": 10.0}), 100.0, 100.0)
    plain = Counter(colours_of(made, ColourPlan()))
    named = Counter(colours_of(made, ColourPlan("pieces", ("tide", "lamp"))))
    assert (named["tide"], named["lamp"]) == (plain["octagon"], plain["square"])
    one = Counter(colours_of(made, ColourPlan("pieces", ("tide",))))
    assert one["tide"] == len(made.placed)


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (ColourPlan("rows"), "need names"),
        (ColourPlan("list", ("a",)), "15 pieces"),
        (ColourPlan("pieces", ("a", "b")), "1 kind of place"),
    ],
)
def test_names_that_do_not_suit_are_refused(plan: ColourPlan, said: str) -> None:
    with pytest.raises(GeometryError, match=said) as caught:
        colours_of(squares(3, 5), plan)
    assert caught.value.where == ("names",)


LETTER = PaperSheet("letter", 8.5 * INCH, 11 * INCH, INCH / 4, 0.0)
A4 = PaperSheet("a4", 210.0, 297.0, INCH / 4, 0.0)


@pytest.mark.parametrize(("sheet", "least"), [(LETTER, 28), (A4, 25)])
def test_c53_hexagons_on_a_sheet(sheet: PaperSheet, least: int) -> None:
    # derived: plain honeycomb of 1 in hexagons, 1/4 in margin, no gap: a lower bound
    hexagon = build("hexagon", {"side": INCH})
    found = sheets_of(hexagon, 1000, sheet)
    assert found.per_sheet >= least
    assert found.sheets == math.ceil(1000 / found.per_sheet)


def test_curved_pieces_interlock() -> None:
    # derived: 8 x 10 1/2 in inside the margins holds 4 x 5 boxes of 2 in; rows that interlock
    # advance by 1 in, 4 and 3 in turn: 9 rows, 5 x 4 + 4 x 3 = 32; the area is half the box, 42
    found = sheets_of(build("clamshell", {"width": 2 * INCH}), 21, LETTER)
    assert 20 < found.per_sheet <= 42
    assert (found.templates, found.sheets) == (21, 1)


def test_templates_used_again() -> None:
    assert [templates_needed(84, reuse) for reuse in (1, 3, 5)] == [84, 28, 17]


def test_money_and_time() -> None:
    found = bill(
        Prices(fabric=3.0, pre_cut=2.5, sheet=0.1), length=4572.0, step=457.2, pre_cuts=4, sheets=7
    )
    assert found.fabric == pytest.approx(30.0)
    assert found.pre_cuts == 10.0
    assert found.total == pytest.approx(30.0 + 10.0 + 0.7)
    assert bill(Prices(), length=1.0, step=1.0, pre_cuts=1, sheets=1).total == 0.0
    assert basting_s(90, Speeds(pieces_per_hour=45.0)) == 7200.0
    assert sewing_s(90, Speeds(stitches_per_minute=15.0)) == 360.0
    assert basting_s(90, Speeds()) is sewing_s(90, Speeds()) is None
