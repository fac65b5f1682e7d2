"""What a search remembers of rows is what it would find again."""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.effort import NORMAL, Budget, unlimited
from geometry.layout.recent import Recent
from geometry.layout.rows.box_rows import shortest_boxes
from geometry.layout.rows.row_blocks import row_blocks
from geometry.layout.rows.stepped_rows import shortest_steps, step_shares
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build

ROOM = WorkArea.rectangle(0.0, 0.0, 190.0, 277.0)


@pytest.mark.parametrize("kind", ["hexagon", "triangle", "jewel"])
def test_blocks_of_fewer_pieces_are_those_of_a_search_of_their_own(kind: str) -> None:
    item = Item("A", build(kind, {"side": 25.4}), 40)
    budget = Budget(math.inf)
    for count in (30, 17, 9):
        known = row_blocks(item, ROOM, count, gap=1.0, effort=NORMAL, budget=budget)
        alone = row_blocks(item, ROOM, count, gap=1.0, effort=NORMAL, budget=unlimited())
        for one, other in zip(known, alone, strict=True):
            assert one.lengths.tolist() == other.lengths.tolist()
            assert one.fullest == other.fullest
            assert one.filling(one.fullest) == other.filling(other.fullest)


def test_plain_rows_that_are_no_shorter_are_not_laid() -> None:
    item, found = Item("A", build("hexagon", {"side": 25.4}), 17), Recent()
    for share, rows in (
        shortest_boxes(item, ROOM, 17, 1.0),
        shortest_steps(item, ROOM, 17, 1.0, NORMAL, found),
    ):
        assert share < 1.0
        assert len(rows) == 17
    for less in (1.0, 0.5):
        share, rows = shortest_boxes(item, ROOM, 17, 1.0)
        assert shortest_boxes(item, ROOM, 17, 1.0, below=less * share) == (share, ())
        share, rows = shortest_steps(item, ROOM, 17, 1.0, NORMAL, found)
        assert shortest_steps(item, ROOM, 17, 1.0, NORMAL, found, below=less * share) == (share, ())


@pytest.mark.parametrize("kind", ["hexagon", "triangle", "kite"])
def test_steps_of_a_number_of_pieces_are_those_of_a_search_of_their_own(kind: str) -> None:
    item, found = Item("A", build(kind, {"side": 25.4}), 40), Recent()
    shares = step_shares(item, ROOM, 23, 1.0, NORMAL, found)
    for count in (9, 17, 23, 24):
        known = shortest_steps(item, ROOM, count, 1.0, NORMAL, found)
        assert known == shortest_steps(item, ROOM, count, 1.0, NORMAL, Recent())
        assert count > 23 or known[0] == shares[count]
