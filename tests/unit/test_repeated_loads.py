"""Loads that are alike and follow each other are repeats of the first."""

from __future__ import annotations

from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from service.runs.repeats import listed_once

FULL = Load((Placement("A", Rigid()), Placement("A", Rigid(0.0, 30.0))))
REST = Load((Placement("A", Rigid()),))


def listed(loads: list[Load], lengths: list[float | None]) -> list[tuple[int, int]]:
    """Return each listed load's index and repeats."""
    return [(index, load.repeats) for index, load in listed_once(loads, lengths)]


def test_neighbours_that_are_alike_are_one() -> None:
    loads = [FULL, FULL, FULL, REST]
    assert listed(loads, [None] * 4) == [(0, 3), (3, 1)]
    # Counted already: two, three and one are six.
    loads = [Load(FULL.placements, 2), Load(FULL.placements, 3), FULL]
    assert listed(loads, [None] * 3) == [(0, 6)]


def test_others_stay_apart() -> None:
    assert listed([FULL, REST, FULL], [None] * 3) == [(0, 1), (1, 1), (2, 1)]
    # Lengths of a roll: the third is cut off longer.
    assert listed([FULL, FULL, FULL], [100.0, 100.0, 120.0]) == [(0, 2), (2, 1)]
    assert listed([], []) == []
