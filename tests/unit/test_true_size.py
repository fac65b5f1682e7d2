"""Drawings over several pages: what each page shows, and the crosses that join them."""

from __future__ import annotations

import pytest

from geometry.model.segments import Bounds
from service.documents.true_size import page_room, tiles_of

ROOM = (180.0, 220.0)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_room_is_inside_the_page(paper: str) -> None:
    """8 1/2 x 11 in, 210 x 297 mm, less margins of 40 points on both sides, 28.2 mm."""
    width, height = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}[paper]
    found = page_room(paper)
    assert found[0] == pytest.approx(width - 28.2 - 2.0, abs=0.1)
    assert height - 75.0 <= found[1] <= height - 60.0


@pytest.mark.parametrize(
    ("width", "height", "columns", "rows"),
    [
        (180.0, 220.0, 1, 1),
        # Two pages of 180 that overlap by 12 are 348 wide.
        (348.0, 100.0, 2, 1),
        (348.1, 100.0, 3, 1),
        # Two of 220 are 428 high.
        (317.5, 317.5, 2, 2),
        (100.0, 428.1, 1, 3),
    ],
)
def test_pages_and_what_they_show(width: float, height: float, columns: int, rows: int) -> None:
    box = Bounds(-40.0, 7.0, width - 40.0, height + 7.0)
    found = tiles_of(box, ROOM)
    assert (found.columns, found.rows, len(found.tiles)) == (columns, rows, columns * rows)
    assert Bounds.around([tile.box for tile in found.tiles]) == pytest.approx(box)
    for tile in found.tiles:
        assert tile.box.width <= ROOM[0] + 1e-9
        assert tile.box.height <= ROOM[1] + 1e-9
    of = {(tile.column, tile.row): tile.box for tile in found.tiles}
    for (column, row), tile_box in of.items():
        if right := of.get((column + 1, row)):
            assert tile_box.right - right.left == pytest.approx(12.0)
        if below := of.get((column, row + 1)):
            assert below.top - tile_box.bottom == pytest.approx(12.0)


def test_neighbours_share_two_crosses() -> None:
    """Two by two pages have four joins of two crosses each, on both pages of the join."""
    found = tiles_of(Bounds(0.0, 0.0, 317.5, 317.5), ROOM)
    assert len({cross.letter for cross in found.crosses}) == len(found.crosses) == 8
    shown = {
        (tile.column, tile.row): {
            cross.letter
            for cross in found.crosses
            if tile.box.left < cross.at.x < tile.box.right
            and tile.box.bottom < cross.at.y < tile.box.top
        }
        for tile in found.tiles
    }
    for one, other in [((1, 1), (2, 1)), ((1, 2), (2, 2)), ((1, 1), (1, 2)), ((2, 1), (2, 2))]:
        assert len(shown[one] & shown[other]) >= 2
    assert tiles_of(Bounds(0.0, 0.0, 90.0, 90.0), ROOM).crosses == ()
