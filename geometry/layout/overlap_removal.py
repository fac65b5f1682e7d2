"""Pieces that overlap a little, moved until they do not: their turns and their number stay.

Source:
    Minimising the overlap of a layout by moving every piece along the directions that separate it
    soonest from its neighbours: Imamichi, Yagiura and Nagamochi, "An iterated local search
    algorithm based on nonlinear programming for the irregular strip packing problem", Discrete
    Optimization 6 (2009). There a quasi-Newton method descends; here a gradient with momentum
    (B. Polyak, "Some methods of speeding up the convergence of iteration methods", 1964).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import Budget
from geometry.layout.no_fit import no_fit
from geometry.layout.polygons import Coordinates, turned
from geometry.model.outline import Outline

#: Pieces are parted by this much more than the gap, and may come this much nearer, mm.
_MORE, _NEARER = 1.0e-4, 5.0e-5
#: The gradient's share of a move, and the share of the move before it.
_PULL, _MOMENTUM = 0.25, 0.85
_MAX_MOVES = 1500
#: Moves after which the depth of the overlaps must have become smaller, and by what share.
_MOVES_BETWEEN_LOOKS, _SMALLER = 100, 0.97
#: Steps per move, and more for each pair of pieces. Own measurement.
_STEPS_PER_MOVE, _STEPS_PER_PAIR = 0.12, 2.0e-4


@dataclass(frozen=True)
class _Pairs:
    """Pieces of two turns, each with each: the lines of their convex no-fit polygon.

    A piece keeps clear of another where it lies outside at least one of the lines.
    """

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    normals: Coordinates
    reach: Coordinates

    def overlaps(
        self, places: Coordinates
    ) -> tuple[NDArray[np.int64], NDArray[np.int64], Coordinates]:
        """Return the pairs that overlap and the vectors that part each soonest."""
        outside = (places[self.second] - places[self.first]) @ self.normals.T - self.reach
        line = outside.argmax(axis=1)
        depth = outside[np.arange(len(line)), line]
        near = np.flatnonzero(depth < 0.0)
        apart: Coordinates = self.normals[line[near]] * -depth[near, None]
        return self.first[near], self.second[near], apart


def parted(
    outline: Outline,
    turns: Sequence[float],
    places: Coordinates,
    size: tuple[float, float],
    *,
    gap: float,
    budget: Budget,
) -> Coordinates | None:
    """Return places at which no pieces overlap, ``None`` when none were found.

    Args:
        outline: a convex outline.
        turns: of each piece, degrees.
        places: where each piece's origin lies at first.
        size: width and height of the rectangle, lower left corner 0, 0, that holds all.
        gap: least distance, mm.
        budget: pays for every move.

    Raises:
        SearchEnded: when the budget is spent.
    """
    boxes = [turned(outline, turn).bounds for turn in turns]
    low = np.array([(-box.left, -box.bottom) for box in boxes])
    high = np.array([(size[0] - box.right, size[1] - box.top) for box in boxes])
    pairs = list(_pairs(outline, turns, gap))
    cost = _STEPS_PER_MOVE + _STEPS_PER_PAIR * len(turns) * (len(turns) - 1) / 2.0
    places = np.clip(places, low, high)
    move = np.zeros_like(places)
    least = np.inf
    for number in range(_MAX_MOVES):
        pull = np.zeros_like(places)
        deepest = depth = 0.0
        for each in pairs:
            first, second, apart = each.overlaps(places)
            np.add.at(pull, second, apart)
            np.subtract.at(pull, first, apart)
            lengths = np.hypot(apart[:, 0], apart[:, 1])
            deepest = max(deepest, float(lengths.max(initial=0.0)))
            depth += float((lengths * lengths).sum())
        if deepest < _NEARER:
            return places
        budget.spend(cost)
        if number % _MOVES_BETWEEN_LOOKS == 0:
            if depth > _SMALLER * least:
                return None
            least = depth
        move = _MOMENTUM * move + _PULL * pull
        places = np.clip(places + move, low, high)
    return None


def _pairs(outline: Outline, turns: Sequence[float], gap: float) -> list[_Pairs]:
    numbers: dict[float, list[int]] = {}
    for number, turn in enumerate(turns):
        numbers.setdefault(turn, []).append(number)
    found = []
    kinds = sorted(numbers)
    for at, turn in enumerate(kinds):
        for other in kinds[at:]:
            first, second = np.meshgrid(numbers[turn], numbers[other], indexing="ij")
            once = first < second if turn == other else np.ones_like(first, dtype=bool)
            ring = no_fit(turned(outline, turn), turned(outline, other), gap)
            found.append(_Pairs(first[once], second[once], *_lines(ring)))
    return found


def _lines(ring: Coordinates) -> tuple[Coordinates, Coordinates]:
    """Return the outward normals of a convex ring and how far out each edge lies."""
    edges = ring[1:] - ring[:-1]
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    edges, starts = edges[lengths > _NEARER], ring[:-1][lengths > _NEARER]
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    return normals, (normals * starts).sum(axis=1) + _MORE
