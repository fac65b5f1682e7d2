"""What is left out before overlaps are removed changes nothing."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from geometry.layout import Item
from geometry.layout.effort import unlimited
from geometry.layout.fitting.holding_polygons import holding_polygon, turned
from geometry.layout.fitting.overlap_removal import BRIEF, Overlapping, Parting, parted
from geometry.layout.fitting.piece_pairs import PiecePairs
from geometry.layout.rows.loose_rows import loose_rows
from geometry.layout.rows.row_patterns import shape_of
from geometry.layout.rows.row_strips import strip_across
from geometry.layout.strips.squeezed_strips import _starts
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build

TURNS = (0.0, 180.0, 0.0, 30.0, 210.0, 30.0, 0.0, 180.0)


@pytest.mark.parametrize("kind", ["hexagon", "triangle", "diamond_45"])
def test_the_pairs_near_each_other_are_those_that_overlap(kind: str) -> None:
    outline = build(kind, {"side": 20.0})
    pairs = PiecePairs(outline, TURNS, 0.0)
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
        near = pairs.near(places, np.full(len(pairs.first), 2.0))
        assert over <= set(
            zip(pairs.first[near].tolist(), pairs.second[near].tolist(), strict=True)
        )
        assert (pairs.deepest(places) > 0.0) or not over
        assert over or pairs.deepest(places) < 0.5
        # And as deep among the lines that face a piece as among all.
        every = pairs._distance(places, np.arange(len(pairs.first)))
        assert pairs.deepest(places) == max(0.0, -float(every.min()))
        assert near.tolist() == np.flatnonzero(every < 2.0).tolist()


@pytest.mark.parametrize("kind", ["hexagon", "triangle", "square"])
def test_rectangles_that_are_parted_at_once_come_to_what_each_comes_to_alone(kind: str) -> None:
    outline = build(kind, {"side": 20.0})
    numbers = np.random.default_rng(5)
    starts = [
        Overlapping(
            [float(each) for each in numbers.permutation(TURNS)],
            numbers.uniform(0.0, side, (len(TURNS), 2)),
            (side, 1.2 * side),
        )
        # Of hopeless ones, ones that end early, and one too narrow for a piece.
        for side in (60.0, 90.0, 120.0, 140.0, 170.0, 15.0, 200.0)
    ]
    together = Parting(outline, starts, gap=1.0, limits=BRIEF)
    for _ in together.run():
        pass
    ends = set()
    for number, start in enumerate(starts):
        budget = unlimited()
        single = Parting(outline, [start], gap=1.0, limits=BRIEF)
        assert sum(1 for _ in single.run()) == int(together.moves[number])
        alone = parted(
            outline, start.turns, start.places, start.size, gap=1.0, budget=budget, limits=BRIEF
        )
        found = together.found[number]
        ends.add(alone is None)
        assert (alone is None) == (found is None)
        assert alone is None or found is None or alone.tolist() == found.tolist()
    assert ends == {False, True}


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
