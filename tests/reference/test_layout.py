"""Layouts against yields that can be counted by hand, and the fit that only a turn gives."""

import math

import pytest

from geometry.layout import Item
from geometry.layout.fitting.fit import DoesNotFit
from geometry.model.cutter import WorkArea
from geometry.offset.allowance import make_patch
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH
from tests.layouts import lay_out

LETTER = WorkArea.rectangle(0, 0, 8 * INCH, 10.5 * INCH)  # 8 1/2 x 11 in, 1/4 in margins
A4 = WorkArea.rectangle(0, 0, 210 - INCH / 2, 297 - INCH / 2)

#: derived: plain honeycomb, the better of the two straight ways; side, Letter, A4
YIELDS = [(0.5, 115, 120), (0.75, 50, 48), (1, 28, 25), (1.5, 11, 11), (2, 5, 5)]


@pytest.mark.parametrize(
    ("side", "letter", "a4", "effort"),
    [
        *((*each, "quick") for each in YIELDS),
        *(pytest.param(*each, "normal", marks=pytest.mark.long) for each in YIELDS),
    ],
)
def test_c53_hexagons_a_sheet(side: float, letter: int, a4: int, effort: str) -> None:
    hexagon = build("hexagon", {"side": side * INCH})
    for room, least in ((LETTER, letter), (A4, a4)):
        layout = lay_out([Item("A", hexagon, 1000)], room, gap=0.0, effort=effort)
        assert len(layout.loads[0].placements) >= least
        assert check_load({"A": hexagon}, layout.loads[0], room, 0.0) == []


def test_c62_a_hexagon_that_fits_only_turned() -> None:
    # derived: 2.5774 in corner to corner is too much for 2.5 in; turned 15 degrees a 2.5 in
    # square takes a side of 2.5 / (2 cos 15) = 1.294095 in, and 1.288675 is needed
    hexagon = make_patch(build("hexagon", {"side": INCH}), INCH / 4).outline
    room = WorkArea.rectangle(0, 0, 2.5 * INCH, 2.5 * INCH)
    with pytest.raises(DoesNotFit) as caught:
        lay_out([Item("A", hexagon, 1, turns="fixed")], room, gap=0.0)
    assert caught.value.largest_scale == pytest.approx(2.5 / 2.577350, abs=1e-6)
    assert caught.value.short_by == pytest.approx(0.077350 * INCH, abs=1e-4)
    layout = lay_out([Item("A", hexagon, 1)], room, gap=0.0)
    assert layout.loads[0].placements[0].move.turn_deg % 30 == pytest.approx(15)
    assert check_load({"A": hexagon}, layout.loads[0], room, 0.0) == []


def test_c62_the_limit_itself() -> None:
    room = WorkArea.rectangle(0, 0, 2.5 * INCH, 2.5 * INCH)
    limit = 2.5 / (2 * math.cos(math.radians(15)))
    lay_out([Item("A", build("hexagon", {"side": (limit - 1e-5) * INCH}), 1)], room, gap=0.0)
    with pytest.raises(DoesNotFit) as caught:
        lay_out([Item("A", build("hexagon", {"side": 2 * INCH}), 1)], room, gap=0.0)
    assert caught.value.largest_scale == pytest.approx(limit / 2, abs=1e-6)


def test_squares_of_a_strip_are_whole_rows() -> None:
    # fat quarter 18 x 22 in: charts count whole rows (docsbay.net; www.quilterscache.com)
    room = WorkArea.rectangle(0, 0, 22 * INCH, 18 * INCH)
    for side, count in ((2, 99), (2.5, 56), (3, 42), (3.5, 30), (4, 20), (5, 12), (6, 9)):
        square = build("square", {"side": side * INCH})
        layout = lay_out([Item("A", square, 1000, turns="half-turn")], room, gap=0.0)
        assert len(layout.loads[0].placements) == count


def test_circles_exactly_as_wide_as_the_room() -> None:
    # four 2 in circles across 8 in: arcs must not cost the polygon's stand-off
    circle = build("circle", {"diameter": 2 * INCH})
    room = WorkArea.rectangle(0, 0, 8 * INCH, 2 * INCH)
    assert len(lay_out([Item("A", circle, 8)], room, gap=0.0).loads[0].placements) == 4
