"""Strips of rows: many are measured as one is, and the shortest are kept."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
import shapely

from geometry.layout import Item
from geometry.layout.effort import QUICK
from geometry.layout.fitting.envelope import Envelope
from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.fitting.no_fit import no_fit
from geometry.layout.rows import laid_rows
from geometry.layout.rows.many_rows import ManyRows
from geometry.layout.rows.measured_rows import lowest_across, pieces_held, shortest_along
from geometry.layout.rows.row_laying import most_held
from geometry.layout.rows.row_patterns import Patterns, frames, patterns_of, turns_of
from geometry.layout.rows.row_strips import strip_across, strip_along
from geometry.layout.rows.stacks import Stack
from geometry.layout.strips.row_ways import RowWay, RowWays, known_shares, shares_of
from geometry.layout.strips.strips import KnownStrip, _shortest
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build

KINDS: dict[str, dict[str, float | int | str]] = {
    "hexagon": {"side": 20.0},
    "triangle": {"side": 35.0},
    "pentagon": {"side": 18.0},
    "jewel": {"side": 20.0},
    "clamshell": {"width": 40.0},
    "apple_core": {"length": 50.0},
}


def patterns(kind: str, gap: float) -> Iterator[Patterns]:
    item = Item("A", build(kind, KINDS[kind]), 20)
    shape, turns = turns_of(item, 0.0, gap, QUICK)
    for turn in turns:
        for local, _ in frames(item, turn):
            yield patterns_of(shape, item, local)


@pytest.mark.parametrize("kind", KINDS)
def test_many_patterns_are_measured_as_one_by_one(kind: str) -> None:
    draw = np.random.default_rng(len(kind))
    alike: dict[int, list[Stack]] = {}
    for found in patterns(kind, float(draw.integers(2))):
        for stack in found.stacks:
            alike.setdefault(len(stack.first.members), []).append(stack)
    for stacks in alike.values():
        count = int(draw.integers(1, 51))
        sizes = draw.uniform(60.0, 300.0, (2, len(stacks)))
        rows = ManyRows(stacks)
        lengths, heights = shortest_along(rows, count, sizes[0]), lowest_across(rows, count, *sizes)
        held = pieces_held(rows, *sizes)
        for at, (stack, width, height) in enumerate(zip(stacks, *sizes.tolist(), strict=True)):
            along = strip_along(stack.figures, count, width)
            across = strip_across(stack.figures, count, width, height)
            for strip, length in ((along, lengths[at]), (across, heights[at])):
                assert length == pytest.approx(strip.length if strip else np.inf, abs=1e-6)
                assert strip is None or len(strip.moves()) == count
            assert held[at] == most_held(stack, width, height)


def test_many_patterns_take_little_memory_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    stacks = [stack for found in patterns("hexagon", 1.0) for stack in found.stacks]
    rows, sizes = ManyRows(stacks), np.full((2, len(stacks)), 250.0)
    whole = lowest_across(rows, 20, *sizes).tolist(), pieces_held(rows, *sizes).tolist()
    monkeypatch.setattr(laid_rows, "_MOST_TOGETHER", 1)
    assert (lowest_across(rows, 20, *sizes).tolist(), pieces_held(rows, *sizes).tolist()) == whole


@pytest.mark.parametrize("kind", ["hexagon", "triangle", "clamshell"])
def test_the_shortest_strips_are_those_of_laying_all(kind: str) -> None:
    room, count = WorkArea.rectangle(0.0, 0.0, 300.0, 200.0), 13
    ways = [
        RowWay(stack, upright=False, along=along)
        for found in patterns(kind, 1.0)
        for stack in found.stacks
        for along in (True, False)
    ]

    def share_of(way: RowWay) -> float:
        if way.along:
            strip, whole = strip_along(way.stack.figures, count, 200.0), 300.0
        else:
            strip, whole = strip_across(way.stack.figures, count, 300.0, 220.0), 200.0
        return strip.length / whole if strip is not None else np.inf

    shares = shares_of(ways, room, count)
    kept = [share_of(way) for way in _shortest(ways, shares, 3, KnownStrip())]
    assert kept == pytest.approx(sorted(map(share_of, ways))[:3], abs=1e-8)


@pytest.mark.parametrize("kind", KINDS)
def test_shares_for_other_numbers_of_pieces_are_those_measured_alone(kind: str) -> None:
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 200.0)
    found = [stack for each in patterns(kind, 1.0) for stack in each.stacks]
    ways = RowWays(
        tuple(
            RowWay(stack, upright, along)
            for stack in found
            for upright in (False, True)
            for along in (False, True)
        )
    )
    for count in (9, 1, 17, 40):
        assert known_shares(ways, room, count).tolist() == shares_of(ways.ways, room, count)
        for at, way in list(enumerate(ways.ways))[::29]:
            width, height = (200.0, 300.0) if way.upright else (300.0, 200.0)
            if way.along:
                alone = shortest_along(ManyRows([way.stack]), count, np.array([height])) / width
            else:
                alone = (
                    lowest_across(
                        ManyRows([way.stack]), count, np.array([width]), np.array([1.1 * height])
                    )
                    / height
                )
            assert known_shares(ways, room, count)[at] == alone[0]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("gap", [0.0, 1.0])
def test_the_far_side_of_a_ring_is_where_a_line_leaves_it(kind: str, gap: float) -> None:
    """Checked with shapely: the highest point of the ring's area on an upright line."""
    outline = build(kind, KINDS[kind])
    ring = no_fit(outline, turned(outline, 180.0), gap)
    area = shapely.Polygon(ring)
    left, bottom, right, top = area.bounds
    places = np.linspace(left + 1e-3, right - 1e-3, 41)
    lines = shapely.linestrings([[(x, bottom - 1.0), (x, top + 1.0)] for x in places])
    highest = [shapely.bounds(each)[3] for each in shapely.intersection(area, lines)]
    assert Envelope.above(ring).at(places) == pytest.approx(highest, abs=1e-6)
    assert not np.isfinite(Envelope.above(ring).at(np.array([left, right, right + 1.0]))).any()
    levels = np.linspace(bottom + 1e-3, top - 1e-3, 41)
    lines = shapely.linestrings([[(left - 1.0, y), (right + 1.0, y)] for y in levels])
    rightmost = [shapely.bounds(each)[2] for each in shapely.intersection(area, lines)]
    assert Envelope.right_of(ring).at(levels) == pytest.approx(rightmost, abs=1e-6)
