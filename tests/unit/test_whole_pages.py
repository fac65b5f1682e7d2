"""Printed pages: pieces lie whole on one where they have room, and larger ones are joined."""

from __future__ import annotations

import random

import pytest

from adapters.pages import marks
from adapters.whole_pages import whole_pages
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
