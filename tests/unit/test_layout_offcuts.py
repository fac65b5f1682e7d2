"""What a load leaves whole, against every rectangle there is."""

from __future__ import annotations

import itertools
import random

import pytest
import shapely

from geometry.layout import Item
from geometry.layout.offcuts import NARROWEST, SMALLEST, offcuts_of
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.shapes.catalogue import build
from tests.layouts import lay_out

ROOM = WorkArea.rectangle(5.0, 7.0, 300.0, 200.0)


def tile(width: float, height: float) -> Outline:
    return Outline.of([(0, 0), (width, 0), (width, height), (0, height)])


def largest_of_all(boxes: list[tuple[float, float, float, float]], room: WorkArea) -> float:
    """Return the area of the largest free rectangle, by trying every one between edges."""
    limit = room.bounds
    xs = sorted({limit.left, limit.right, *(v for b in boxes for v in (b[0], b[2]))})
    ys = sorted({limit.bottom, limit.top, *(v for b in boxes for v in (b[1], b[3]))})
    most = SMALLEST - 1e-6
    for (left, right), (low, high) in itertools.product(
        itertools.combinations(xs, 2), itertools.combinations(ys, 2)
    ):
        if left < limit.left or right > limit.right or low < limit.bottom or high > limit.top:
            continue
        if min(right - left, high - low) < NARROWEST or (right - left) * (high - low) <= most:
            continue
        if all(b[2] <= left + 1e-6 or b[0] >= right - 1e-6 or b[3] <= low + 1e-6
               or b[1] >= high - 1e-6 for b in boxes):  # fmt: skip
            most = (right - left) * (high - low)
    return most if most >= SMALLEST else 0.0


@pytest.mark.parametrize("seed", range(12))
def test_the_first_is_the_largest_there_is(seed: int) -> None:
    draw = random.Random(seed)  # noqa: S311 - a test repeats itself
    outlines, places, boxes = {}, [], []
    for number in range(draw.randint(1, 7)):
        w, h = draw.uniform(10, 90), draw.uniform(10, 90)
        x, y = draw.uniform(5, 305 - w), draw.uniform(7, 207 - h)
        outlines[str(number)] = tile(w, h)
        places.append(Placement(str(number), Rigid(0.0, x, y)))
        boxes.append((x - 2.0, y - 2.0, x + w + 2.0, y + h + 2.0))
    found = offcuts_of([Load(tuple(places))], outlines, ROOM, 2.0)
    areas = [each.width * each.height for each in found]
    assert max(areas, default=0.0) == pytest.approx(largest_of_all(boxes, ROOM), rel=1e-6)
    assert areas == sorted(areas, reverse=True)
    rectangles = [shapely.box(o.x, o.y, o.x + o.width, o.y + o.height) for o in found]
    for one, other in itertools.combinations(rectangles, 2):
        assert one.intersection(other).area < 1e-6
    for one, box in itertools.product(rectangles, boxes):
        assert one.intersection(shapely.box(*box)).area < 1e-3
    assert len({each.name for each in found}) == len(found)


def test_strips_are_named_by_their_side_and_corners_by_both() -> None:
    load = Load((Placement("A", Rigid(0.0, 5.0, 7.0)),))
    found = offcuts_of([load], {"A": tile(250.0, 60.0)}, ROOM, 0.0)
    payload = [(each.name, round(each.width), round(each.height)) for each in found]
    assert payload == [("top strip", 300, 140), ("bottom right corner", 50, 60)]


def test_a_strip_between_two_columns_and_rests_in_two_corners() -> None:
    # Columns of 60 mm at both ends: between them a strip goes from side to side.
    load = Load(tuple(Placement("A", Rigid(0.0, x, 7.0)) for x in (5.0, 245.0)))
    found = offcuts_of([load], {"A": tile(60.0, 200.0)}, ROOM, 0.0)
    payload = [(each.name, round(each.width), round(each.height)) for each in found]
    assert payload == [("middle strip", 180, 200)]
    # A block at the lower left and one at the upper right leave two corners.
    load = Load((Placement("A", Rigid(0.0, 5.0, 7.0)), Placement("A", Rigid(0.0, 155.0, 107.0))))
    found = offcuts_of([load], {"A": tile(150.0, 100.0)}, ROOM, 0.0)
    assert sorted(each.name for each in found) == ["bottom right corner", "top left corner"]


def test_a_rest_along_a_part_of_one_side_is_no_strip() -> None:
    # Blocks left, right and below: the rest reaches the top side alone.
    places = [("A", 5.0), ("A", 245.0), ("B", 65.0)]
    load = Load(tuple(Placement(name, Rigid(0.0, x, 7.0)) for name, x in places))
    found = offcuts_of([load], {"A": tile(60.0, 200.0), "B": tile(180.0, 50.0)}, ROOM, 0.0)
    payload = [(each.name, round(each.width), round(each.height)) for each in found]
    assert payload == [("top rectangle", 180, 150)]


def test_an_area_of_any_shape_leaves_what_lies_inside_it() -> None:
    room = WorkArea(
        Outline.of([(0, 150, 1), (300, 150, 1)]),
        (Outline.of([(120, 200), (180, 200), (180, 240), (120, 240)]),),
    )
    layout = lay_out([Item("A", build("hexagon", {"side": 30.0}), 6)], room, gap=1.0)
    assert layout.offcuts
    disc = shapely.Point(150, 150).buffer(150.001, quad_segs=512)
    away = shapely.box(120, 200, 180, 240)
    for each in layout.offcuts:
        box = shapely.box(each.x, each.y, each.x + each.width, each.y + each.height)
        assert disc.covers(box)
        assert box.intersection(away).area < 1e-6


def test_a_roll_leaves_what_was_drawn_off_and_not_used() -> None:
    layout = lay_out([Item("A", tile(90.0, 90.0), 5)], WorkArea.roll(0, 0, 200), gap=0.0)
    # Two rows of 90 mm across 200 mm: three columns, 270 mm, and one place of six left empty.
    assert layout.offcuts
    assert max(each.x + each.width for each in layout.offcuts) == pytest.approx(270.0)


def test_a_full_load_leaves_nothing() -> None:
    layout = lay_out([Item("A", tile(50.0, 50.0), 24)], ROOM, gap=0.0)
    assert layout.offcuts == ()
