"""The length of strips cut by hand is known without placing a single quilt's millions of pieces."""

from geometry.layout import Item
from geometry.layout.objective import placement_bounds
from geometry.model.cutter import WorkArea
from geometry.planning.strip_layout import strip_layouts, strips_length
from geometry.shapes.catalogue import build

ROOM = WorkArea.roll(0.0, 0.0, 1000.0)
SQUARE = build("square", {"side": 10.0})


def test_it_is_that_of_the_strips_as_they_lie() -> None:
    # Grown by half the gap of 2 mm, squares are 12 mm wide; a width of 1002 mm holds 83. 500 take
    # 7 strips of 12 mm, less the gap behind the last: 82 mm.
    items = [Item("A", SQUARE, 500)]
    ((load,),) = strip_layouts(items, ROOM, 2.0)
    laid = placement_bounds(load.placements, {"A": SQUARE}).right
    assert abs(laid - 82.0) < 1e-6
    assert abs(strips_length(items, ROOM, 2.0) - 82.0) < 1e-6


def test_millions_of_pieces_are_not_placed() -> None:
    # 14,400,000 / 83 = 173,493.98: 173,494 strips of 12 mm, less the last gap.
    assert abs(strips_length([Item("A", SQUARE, 14_400_000)], ROOM, 2.0) - 2_081_926.0) < 1e-3


def test_equal_lengths_of_a_short_roll_are_not_one_load() -> None:
    # One square of 60 mm lies across a roll of 100 mm, and two along a length of 130: of four, two
    # lengths alike.
    items = [Item("A", build("square", {"side": 60.0}), 4)]
    short = WorkArea.roll(0.0, 0.0, 100.0, longest=130.0)
    ((load,),) = strip_layouts(items, short, 1.0)
    assert (len(load.placements), load.repeats) == (2, 2)
    assert strip_layouts(items, short, 1.0, one_load=True) == ()
