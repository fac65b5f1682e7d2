"""Strips of rows: bounds hold, and what the bounds leave out is never the shortest."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
import shapely

from geometry.layout import Item
from geometry.layout.effort import QUICK
from geometry.layout.envelope import Envelope
from geometry.layout.holding_polygons import turned
from geometry.layout.no_fit import no_fit
from geometry.layout.row_patterns import Patterns, frames, patterns_of, turns_of
from geometry.layout.row_strips import strip_across, strip_along
from geometry.layout.strips import KnownStrip, _shortest, _Way
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
def test_no_strip_is_shorter_than_its_bound(kind: str) -> None:
    draw = np.random.default_rng(len(kind))
    laid = 0
    for found in patterns(kind, float(draw.integers(2))):
        count, across = int(draw.integers(1, 51)), float(draw.uniform(60.0, 300.0))
        by_length = found.bounds.along(count, across)
        by_height = found.bounds.across(count, across)
        for at in range(0, len(found.stacks), 5):
            figures = found.stacks[at].figures
            along = strip_along(figures, count, across)
            over = strip_across(figures, count, across, 2000.0)
            for strip, bound in ((along, by_length[at]), (over, by_height[at])):
                if strip is not None:
                    laid += 1
                    assert strip.length >= bound
                    assert len(strip.moves()) == count
    assert laid


@pytest.mark.parametrize("kind", ["hexagon", "triangle", "clamshell"])
def test_the_shortest_strips_are_those_of_laying_all(kind: str) -> None:
    room, count = WorkArea.rectangle(0.0, 0.0, 300.0, 200.0), 13
    ways: list[_Way] = []
    for found in patterns(kind, 1.0):
        by_length = (found.bounds.along(count, 200.0) / 300.0).tolist()
        by_height = (found.bounds.across(count, 300.0) / 200.0).tolist()
        for stack, along, across in zip(found.stacks, by_length, by_height, strict=True):
            ways.append(_Way(along, stack, upright=False, along=True))
            ways.append(_Way(across, stack, upright=False, along=False))
    shares = []
    for way in ways:
        if way.along:
            strip, whole = strip_along(way.stack.figures, count, 200.0), 300.0
        else:
            strip, whole = strip_across(way.stack.figures, count, 300.0, 220.0), 200.0
        shares += [strip.length / whole] if strip is not None else []
    kept = [way.share for way in _shortest(ways, room, count, 3, KnownStrip())]
    assert kept == pytest.approx(sorted(shares)[:3], abs=1e-8)


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
