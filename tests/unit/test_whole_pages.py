"""Printed pages: pieces lie whole on one where they have room, and larger ones are joined."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from adapters.pages import BedPage, marks
from adapters.sample import sample_plan
from adapters.whole_pages import (
    PrintedPage,
    boxes_of,
    groups_of,
    larger_than,
    page_numbers,
    whole_pages,
)
from geometry.model.segments import Bounds

BED, SHEET, OVERLAP = (400.0, 600.0), (190.0, 277.0), 10.0


def within(inner: Bounds, outer: Bounds) -> bool:
    return (
        outer.left <= inner.left + 1e-6
        and inner.right <= outer.right + 1e-6
        and outer.bottom <= inner.bottom + 1e-6
        and inner.top <= outer.top + 1e-6
    )


def test_a_piece_on_the_joins_of_a_grid_takes_one_page() -> None:
    """A grid of 190 x 277 mm over 400 x 600 would cut it in four."""
    box = Bounds(150.0, 280.0, 230.0, 360.0)
    (page,) = whole_pages({0: box}, BED, SHEET, OVERLAP) or []
    assert within(box, page.page.part)
    assert set(page.groups or ()) == {0}
    assert not page.is_joined


def test_twelve_squares_of_90_take_two_pages() -> None:
    """A page of 190 x 277 holds 2 x 3 of them, so twelve laid 4 x 3 side by side take two."""
    boxes = {
        3 * across + down: Bounds(
            90.0 * across, 92.0 * down, 90.0 * across + 89.0, 92.0 * down + 89.0
        )
        for across in range(4)
        for down in range(3)
    }
    made = whole_pages(boxes, BED, SHEET, OVERLAP) or []
    assert [len(each.groups or ()) for each in made] == [6, 6]


def test_a_piece_larger_than_a_page_is_joined_and_small_ones_beside_it_are_on_its_pages() -> None:
    """100 x 500 mm: 277 + 267 cover 544, so two pages, with one join of two crosses."""
    boxes = {0: Bounds(0.0, 0.0, 100.0, 500.0), 1: Bounds(110.0, 10.0, 170.0, 70.0)}
    made = whole_pages(boxes, BED, SHEET, OVERLAP) or []
    assert [each.is_joined for each in made] == [True, True]
    assert all(0 in (each.groups or ()) for each in made)
    assert sum(1 in (each.groups or ()) for each in made) == 1
    assert len(marks([each.page for each in made])) == 2


def test_more_pages_than_a_file_has_are_refused() -> None:
    boxes = {at: Bounds(300.0 * at, 0.0, 300.0 * at + 150.0, 200.0) for at in range(401)}
    assert whole_pages(boxes, (130_000.0, 300.0), SHEET, OVERLAP) is None
    del boxes[400]
    assert len(whole_pages(boxes, (130_000.0, 300.0), SHEET, OVERLAP) or ()) == 400


@pytest.mark.parametrize("seed", range(40))
def test_every_piece_lies_whole_or_is_covered(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - a test
    boxes = {}
    for at in range(rng.randint(1, 40)):
        wide, high = rng.uniform(5.0, 260.0), rng.uniform(5.0, 340.0)
        left, bottom = rng.uniform(0.0, 400.0 - wide), rng.uniform(0.0, 600.0 - high)
        boxes[at] = Bounds(left, bottom, left + wide, bottom + high)
    made = whole_pages(boxes, BED, SHEET, OVERLAP) or []
    for each in made:
        part = each.page.part
        assert (part.width, part.height) == pytest.approx(SHEET)
    for at, box in boxes.items():
        on = [each.page.part for each in made if at in (each.groups or ())]
        if box.width <= SHEET[0] and box.height <= SHEET[1]:
            assert any(within(box, part) for part in on)
            # It is on no page in part: nobody cuts half a piece.
            assert all(within(box, part) for part in on)
        else:
            # A grid of points of the box: each is on some page.
            for across in range(21):
                for up in range(21):
                    x = box.left + box.width * across / 20.0
                    y = box.bottom + box.height * up / 20.0
                    assert any(within(Bounds(x, y, x, y), part) for part in on)


def test_two_large_pieces_have_sheets_of_their_own_where_that_takes_fewer() -> None:
    """Pieces of 200 mm each take two sheets. Columns of one grid begin at 0, 180 and 360 mm.

    They end at 190, 370 and 550, so the second piece, from 185 to 385, would lie on three.
    """
    boxes = {0: Bounds(0.0, 900.0, 200.0, 920.0), 1: Bounds(185.0, 0.0, 385.0, 20.0)}
    made = whole_pages(boxes, (1000.0, 920.0), SHEET, OVERLAP) or []
    assert [set(each.groups or ()) for each in made] == [{0}, {0}, {1}, {1}]
    # Rows of the second grid are no neighbours of the first.
    assert [(each.page.row, each.page.column) for each in made] == [(1, 1), (1, 2), (3, 1), (3, 2)]
    # Two crosses for each piece: its sheets are joined with no other's.
    joins = marks([each.page for each in made])
    assert len(joins) == 4
    assert [each.place.y > 400.0 for each in joins] == [True, True, False, False]


def test_large_pieces_beside_each_other_share_their_sheets() -> None:
    boxes = {0: Bounds(0.0, 0.0, 50.0, 500.0), 1: Bounds(60.0, 0.0, 110.0, 500.0)}
    made = whole_pages(boxes, BED, SHEET, OVERLAP) or []
    assert [set(each.groups or ()) for each in made] == [{0, 1}, {0, 1}]


def test_a_sheet_takes_the_topmost_piece_and_most_others_with_it() -> None:
    """The sheet of the topmost (190 mm wide) begins at its left or further left.

    From 100 it would hold two of them, from 20 three; the one at the lower left is too far below.
    """
    boxes = {
        0: Bounds(100.0, 500.0, 200.0, 600.0),
        1: Bounds(210.0, 400.0, 285.0, 450.0),
        2: Bounds(20.0, 400.0, 90.0, 450.0),
        3: Bounds(20.0, 340.0, 90.0, 390.0),
        4: Bounds(20.0, 322.0, 90.0, 330.0),
    }
    made = whole_pages(boxes, BED, SHEET, OVERLAP) or []
    # The others are 265 mm apart, the higher one first.
    assert [set(each.groups or ()) for each in made] == [{0, 2, 3}, {1}, {4}]
    first = made[0]
    # In the middle of the sheet: its pieces take 20 to 200 and 340 to 600 mm.
    assert first.page.part == pytest.approx((15.0, 331.5, 205.0, 608.5))
    assert not first.is_joined
    assert marks([each.page for each in made]) == []


def test_the_way_that_takes_most_others_may_begin_at_the_topmost_piece() -> None:
    """From 20 a sheet would hold one more, from 100 two."""
    boxes = {
        0: Bounds(100.0, 500.0, 200.0, 600.0),
        1: Bounds(210.0, 400.0, 285.0, 450.0),
        2: Bounds(20.0, 400.0, 90.0, 450.0),
        3: Bounds(210.0, 340.0, 285.0, 390.0),
    }
    made = whole_pages(boxes, BED, SHEET, OVERLAP) or []
    assert [set(each.groups or ()) for each in made] == [{0, 1, 3}, {2}]


def test_pieces_that_just_fit_and_that_just_do_not() -> None:
    size = (190.0, 277.0)
    assert larger_than({0: Bounds(5.0, 5.0, 195.0, 282.0)}, size) == []
    assert larger_than({0: Bounds(5.0, 5.0, 195.001, 282.0)}, size) == [0]
    assert larger_than({3: Bounds(5.0, 5.0, 195.0, 282.001)}, size) == [3]
    # Two as high together as a sheet lie on one, and as wide as one, too.
    for apart, count in ((0.0, 1), (0.001, 2)):
        high = {0: Bounds(0.0, 177.0 + apart, 50.0, 277.0 + apart), 1: Bounds(0.0, 0.0, 50.0, 50.0)}
        wide = {0: Bounds(0.0, 0.0, 50.0, 50.0), 1: Bounds(140.0 + apart, 0.0, 190.0 + apart, 50.0)}
        for boxes in (high, wide):
            assert len(whole_pages(boxes, BED, SHEET, OVERLAP) or []) == count


def test_small_pieces_lie_on_sheets_of_a_large_one_only_if_they_are_there_as_a_whole() -> None:
    """The sheets of the large piece show 0 to 190 mm across and 56 to 600 mm up in the bed."""
    large = Bounds(0.0, 70.0, 100.0, 590.0)
    for small, count in (
        (Bounds(120.0, 500.0, 190.0, 600.0), 2),
        (Bounds(120.001, 500.0, 190.001, 590.0), 3),
    ):
        made = whole_pages({0: large, 1: small}, (190.0, 656.0), SHEET, OVERLAP) or []
        assert len(made) == count


def test_the_groups_of_strokes() -> None:
    plan = sample_plan()
    placed = tuple(stroke for stroke in plan.strokes if stroke.placement is not None)
    assert groups_of(replace(plan, strokes=placed)) == [0, 0, 0, 1]
    # A line between neighbours is of no piece.
    assert groups_of(plan) is None
    boxes = [
        Bounds(0.0, 0.0, 10.0, 10.0),
        Bounds(5.0, 50.0, 6.0, 51.0),
        Bounds(8.0, -3.0, 12.0, 9.0),
    ]
    assert boxes_of([4, 2, 4], boxes, 0.5) == {
        4: Bounds(-0.5, -3.5, 12.5, 10.5),
        2: Bounds(4.5, 49.5, 6.5, 51.5),
    }


def test_what_is_drawn_on_a_sheet() -> None:
    boxes = [
        Bounds(0.0, 0.0, 10.0, 10.0),
        Bounds(20.0, 0.0, 30.0, 10.0),
        Bounds(300.0, 0.0, 310.0, 1.0),
    ]
    part = BedPage(1, 1, Bounds(0.0, 0.0, 190.0, 277.0))
    everything, one = PrintedPage(part), PrintedPage(part, frozenset({7}))
    assert everything.drawn([7, 8, 7], boxes) == [0, 1]
    assert everything.drawn(None, boxes) == [0, 1]
    assert one.drawn([7, 8, 7], boxes) == [0]
    assert one.drawn(None, boxes) == [0, 1]
    assert (one.has(7), one.has(8), everything.has(8)) == (True, False, True)


def test_numbers_of_pages_in_words() -> None:
    assert page_numbers([3, 4]) == "3 and 4"
    assert page_numbers([1, 2, 3, 4]) == "1 to 4"
