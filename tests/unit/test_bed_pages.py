"""Sheets of paper over a bed and the marks that join them, worked by hand.

Sheets print 190 x 277 mm. With an overlap of 10 mm each further one shows 180 mm more of the width
or 267 mm more of the height.
"""

from __future__ import annotations

import pytest

from adapters.pages import BedPage, holds, marks, pages, pages_over, touches
from geometry.model.points import Point
from geometry.model.segments import Bounds

SHEET, OVERLAP = (190.0, 277.0), 10.0
PAGE = Bounds(0.0, 0.0, 190.0, 277.0)


def test_a_bed_is_covered_from_its_upper_left_corner() -> None:
    """390 / 180 and 590 / 267 mm take three columns and three rows."""
    count, every = pages((400.0, 600.0), SHEET, OVERLAP)
    made = list(every)
    assert count == len(made) == 9
    assert [(page.row, page.column) for page in made] == [
        (1, 1), (1, 2), (1, 3), (2, 1), (2, 2), (2, 3), (3, 1), (3, 2), (3, 3),
    ]  # fmt: skip
    assert made[0].part == Bounds(0.0, 323.0, 190.0, 600.0)
    assert made[5].part == Bounds(360.0, 56.0, 550.0, 333.0)
    assert made[6].part == Bounds(0.0, -211.0, 190.0, 66.0)


@pytest.mark.parametrize(
    ("bed", "count"),
    [
        ((370.0, 277.0), 2),
        ((370.1, 277.0), 3),
        ((190.0, 544.0), 2),
        ((190.0, 544.1), 3),
        ((5.0, 5.0), 1),
    ],
)
def test_sheets_that_are_just_large_enough(bed: tuple[float, float], count: int) -> None:
    assert pages(bed, SHEET, OVERLAP)[0] == count


#: Left edges: in the middle of a bed of 400 mm, a sheet of 190 begins at 105; lower ones: in the
#: middle of 600 mm, one of 277 begins at 161.5.
@pytest.mark.parametrize(
    ("bed", "drawn", "left", "bottom"),
    [
        # A sheet as large as the bed shows all of it.
        (SHEET, Bounds(10.0, 20.0, 50.0, 60.0), 0.0, 0.0),
        # What lies beyond the bed's right and upper edge: to 250 and 300.
        (SHEET, Bounds(150.0, 200.0, 250.0, 300.0), 60.0, 23.0),
        # What lies beyond its left and lower edge.
        (SHEET, Bounds(-20.0, -30.0, 100.0, 100.0), -20.0, -30.0),
        # The sheet stays in the middle, if that holds the drawing,
        ((400.0, 600.0), Bounds(180.0, 300.0, 220.0, 340.0), 105.0, 161.5),
        # or moves no further than it must: to the right and up by 5, to the left and down by 5.
        ((400.0, 600.0), Bounds(180.0, 300.0, 300.0, 443.5), 110.0, 166.5),
        ((400.0, 600.0), Bounds(100.0, 156.5, 220.0, 340.0), 100.0, 156.5),
    ],
)
def test_where_a_sheet_lies_on_the_bed(
    bed: tuple[float, float], drawn: Bounds, left: float, bottom: float
) -> None:
    count, every = pages_over(drawn, bed, SHEET, OVERLAP)
    (page,) = every
    assert count == 1
    assert (page.row, page.column) == (1, 1)
    assert page.part == pytest.approx((left, bottom, left + 190.0, bottom + 277.0))


def test_two_sheets_in_the_middle_of_the_bed() -> None:
    """Together they are 544 mm high, so of 600 mm they leave 28 below and above."""
    count, every = pages_over(Bounds(150.0, 60.0, 250.0, 560.0), (400.0, 600.0), SHEET, OVERLAP)
    upper, lower = every
    assert count == 2
    assert upper.part == pytest.approx((105.0, 295.0, 295.0, 572.0))
    assert lower.part == pytest.approx((105.0, 28.0, 295.0, 305.0))
    assert [(page.row, page.column) for page in (upper, lower)] == [(1, 1), (2, 1)]


def test_no_more_than_400_sheets_are_listed() -> None:
    """400 columns show 10 + 400 x 180 mm."""
    for width, listed in ((72010.0, 400), (72011.0, 0)):
        count, every = pages_over(Bounds(0.0, 0.0, width, 50.0), (width, 50.0), SHEET, OVERLAP)
        assert count == 400 + (listed == 0)
        assert len(list(every)) == listed


EDGES = [(190.0, 100.0), (0.0, 100.0), (100.0, 277.0), (100.0, 0.0), (0.0, 0.0), (190.0, 277.0)]
BEYOND = [(190.001, 100.0), (-0.001, 100.0), (100.0, 277.001), (100.0, -0.001)]


def test_a_page_shows_its_edges_and_nothing_beyond_them() -> None:
    for x, y in EDGES:
        assert holds(PAGE, Point(x, y))
        assert touches(PAGE, Bounds(x, y, x, y))
    for x, y in BEYOND:
        assert not holds(PAGE, Point(x, y))
        assert not touches(PAGE, Bounds(x, y, x, y))
    # A box over the whole page, whose corners all lie beyond it.
    assert touches(PAGE, Bounds(-50.0, -50.0, 400.0, 400.0))


def test_marks_lie_in_the_middle_of_what_both_pages_show() -> None:
    """A fifth of the way from each end: 55.4 of 277 mm beside, 38 of 190 mm below each other."""
    beside = [BedPage(1, 1, PAGE), BedPage(1, 2, Bounds(180.0, 0.0, 370.0, 277.0))]
    first, second = marks(beside)
    assert (first.name, second.name) == ("A1", "A2")
    assert tuple(first.place) == pytest.approx((185.0, 221.6))
    assert tuple(second.place) == pytest.approx((185.0, 55.4))
    below = [BedPage(1, 1, Bounds(0.0, 267.0, 190.0, 544.0)), BedPage(2, 1, PAGE)]
    first, second = marks(below)
    assert (first.name, second.name) == ("A1", "A2")
    assert tuple(first.place) == pytest.approx((38.0, 272.0))
    assert tuple(second.place) == pytest.approx((152.0, 272.0))
    # The second page a little to the right: what both show is 20 to 190 mm.
    aside = [below[0], BedPage(2, 1, Bounds(20.0, 0.0, 210.0, 277.0))]
    assert [each.place.x for each in marks(aside)] == pytest.approx([54.0, 156.0])


def test_each_join_has_a_letter_of_its_own() -> None:
    """Four pages have four joins; after Z comes AA, and after ZZ (26 + 676 joins) AAA."""
    square = list(pages((370.0, 544.0), SHEET, OVERLAP)[1])
    found = marks(square)
    assert [each.name for each in found] == ["A1", "A2", "B1", "B2", "C1", "C2", "D1", "D2"]
    # Beside and below the first, below the second, beside the third.
    assert [round(each.place.x) for each in found[::2]] == [185, 38, 218, 185]
    row = list(pages((10.0 + 180.0 * 704, 277.0), SHEET, OVERLAP)[1])
    names = [each.name for each in marks(row)[::2]]
    assert names[24:29] == ["Y1", "Z1", "AA1", "AB1", "AC1"]
    assert names[51:53] == ["AZ1", "BA1"]
    assert names[701:] == ["ZZ1", "AAA1"]


def test_pages_that_are_no_neighbours_are_not_joined() -> None:
    assert marks([BedPage(1, 1, PAGE), BedPage(1, 3, PAGE), BedPage(3, 1, PAGE)]) == []
    assert marks([BedPage(1, 1, PAGE), BedPage(2, 2, PAGE)]) == []
