"""What is left out before overlaps are removed changes nothing."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from geometry.layout import Item
from geometry.layout.holding_polygons import holding_polygon, turned
from geometry.layout.loose_rows import loose_rows
from geometry.layout.overlap_removal import _AllPairs
from geometry.layout.row_patterns import shape_of
from geometry.layout.row_strips import strip_across
from geometry.layout.squeezed_strips import _starts
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build

TURNS = (0.0, 180.0, 0.0, 30.0, 210.0, 30.0, 0.0, 180.0)


@pytest.mark.parametrize("kind", ["hexagon", "triangle", "diamond_45"])
def test_the_pairs_near_each_other_are_those_that_overlap(kind: str) -> None:
    outline = build(kind, {"side": 20.0})
    pairs = _AllPairs(outline, TURNS, 0.0)
    numbers = np.random.default_rng(7)
    for _ in range(40):
        places = numbers.uniform(0.0, 140.0, (len(TURNS), 2))
        polygons = [
            shapely.Polygon(holding_polygon(turned(outline, turn)) + place)
            for turn, place in zip(TURNS, places, strict=True)
        ]
        # shapely measures the overlaps a second way.
        over = {
            (i, j)
            for i in range(len(TURNS))
            for j in range(i + 1, len(TURNS))
            if polygons[i].intersection(polygons[j]).area > 1e-2
        }
        near = pairs.near(places, 2.0)
        assert over <= set(zip(near.first.tolist(), near.second.tolist(), strict=True))
        assert (pairs.deepest(places) > 0.0) or not over
        assert over or pairs.deepest(places) < 0.5
        # And as deep among those as among all.
        outside = pairs._within(places, np.inf).outside(places).max(axis=1)
        assert pairs.deepest(places) == pytest.approx(max(0.0, -float(outside.min())), abs=1e-12)


@pytest.mark.parametrize(("kind", "count"), [("hexagon", 15), ("triangle", 12), ("diamond_60", 20)])
def test_the_starts_are_the_shortest_of_all_rows(kind: str, count: int) -> None:
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 450.0)
    item = Item("A", build(kind, {"side": 35.0}), count)
    shape = shape_of(item.outline, 0.0)
    rows = [
        (each, False)
        for turn in (0.0, 10.0, 30.0, 45.0)
        for each in loose_rows(shape, turn, 300.0, count, half_turns=True)
    ]
    share = min(each.height for each, _ in rows) / 450.0
    lengths = set()
    for each, _ in rows:
        if each.height <= 1.12 * share * 450.0:
            for stack in each.patterns(shape, half_turns=True).stacks:
                strip = strip_across(stack.figures, count, 300.0, 1.1 * 450.0)
                if strip is not None and strip.length <= 1.12 * share * 450.0:
                    lengths.add((round(strip.length / 450.0, 6), round(each.unit.period, 6)))
    starts = _starts(rows, room, count, share, shape, half_turns=True, most=4)
    assert starts
    found = [(round(each.share, 6), round(each.period, 6)) for each in starts]
    assert found == sorted(lengths)[:4]
