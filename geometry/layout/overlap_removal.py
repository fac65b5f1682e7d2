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
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.bottom_left import Placed, Variant
from geometry.layout.effort import Budget
from geometry.layout.holding_polygons import Coordinates, turned
from geometry.layout.item import Item
from geometry.layout.no_fit import no_fit
from geometry.layout.sides import moved_into
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.transform import Rigid

#: Pieces are parted by this much more than the gap, and may come this much nearer, mm.
_MORE, _NEARER = 1.0e-4, 5.0e-5
#: The gradient's share of a move, and the share of the move before it.
_PULL, _MOMENTUM = 0.25, 0.85
#: Pairs nearer than this, mm, are looked at, and moves after which they are sought again.
_SLACK, _MOVES_BETWEEN_PAIRS = 2.0, 10
#: Farther from a polygon than this many times a distance, a place is so far from one of its lines
#: except about the sharpest corners, from which pieces are looked at in any case when they come.
_AT_CORNERS = 3.0
#: Steps per move, and more for each pair of pieces. Own measurement.
_STEPS_PER_MOVE, _STEPS_PER_PAIR = 0.12, 2.0e-4


@dataclass(frozen=True)
class SeparationLimits:
    """How long overlaps are removed.

    Attributes:
        max_moves: moves after which it is given up.
        between_looks: moves after which the depth of the overlaps must have become smaller.
        smaller: the share of itself below which it must have fallen.
    """

    max_moves: int
    between_looks: int
    smaller: float


THOROUGH = SeparationLimits(1500, 100, 0.97)
#: For starts that are many: most that fail are stuck after a few moves.
BRIEF = SeparationLimits(400, 12, 0.6)


@dataclass(frozen=True)
class Pairs:
    """Pairs of pieces, each with the lines of its convex no-fit polygon.

    A piece keeps clear of another where it lies outside at least one of the lines.

    Attributes:
        first: the numbers of the pieces of each pair.
        second: the same.
        across: outward normals of the lines, x; a line for each pair.
        up: the same, y.
        reach: how far out each line lies, mm; infinite where a pair has fewer.
    """

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    across: Coordinates
    up: Coordinates
    reach: Coordinates

    def pull(
        self, places: Coordinates, weights: Coordinates | None = None
    ) -> tuple[Coordinates, float, float]:
        """Return which way overlaps pull each piece, the deepest one and the sum of squares.

        Args:
            places: of the pieces.
            weights: of overlaps by the numbers of both pieces; left out: all alike.
        """
        outside = self.outside(places)
        distance = outside.max(axis=1, initial=-np.inf)
        near = np.flatnonzero(distance < 0.0)
        depth = -distance[near]
        line = outside[near].argmax(axis=1) if len(near) else near
        first, second, count = self.first[near], self.second[near], len(places)
        moves = depth if weights is None else depth * weights[first, second]
        pull = np.empty_like(places)
        for axis, normals in enumerate((self.across, self.up)):
            moved = normals[near, line] * moves
            pull[:, axis] = np.bincount(second, moved, count) - np.bincount(first, moved, count)
        return pull, float(depth.max(initial=0.0)), float(depth @ depth)

    def distance(self, places: Coordinates) -> Coordinates:
        """Return how far apart each pair lies, mm; negative where it overlaps."""
        distance: Coordinates = self.outside(places).max(axis=1, initial=-np.inf)
        return distance

    def of(self, at: NDArray[np.int64]) -> Pairs:
        """Return some of the pairs, by their numbers."""
        return Pairs(self.first[at], self.second[at], self.across[at], self.up[at], self.reach[at])

    def outside(self, places: Coordinates) -> Coordinates:
        """Return how far each pair's second piece lies outside each line, negative if inside."""
        apart = places[self.second] - places[self.first]
        outside: Coordinates = self.across * apart[:, :1]
        outside += self.up * apart[:, 1:]
        outside -= self.reach
        return outside


class _AllPairs:
    """All pairs of pieces: by their two turns, with the lines of one no-fit polygon for each."""

    def __init__(self, outline: Outline, turns: Sequence[float], gap: float) -> None:
        kinds, kind_of = np.unique(np.array(turns), return_inverse=True)
        self.first, self.second = np.triu_indices(len(turns), 1)
        ways, self.way = np.unique(
            kind_of[self.first] * len(kinds) + kind_of[self.second], return_inverse=True
        )
        lines = [
            _lines(outline, *(float(kinds[each]) for each in divmod(way, len(kinds))), gap)
            for way in ways.tolist()
        ]
        most = max((len(each.reach) for each in lines), default=0)
        self.normals = np.zeros((len(lines), most, 2))
        self.reaches = np.full((len(lines), most), np.inf)
        for at, each in enumerate(lines):
            self.normals[at, : len(each.reach)] = each.normals
            self.reaches[at, : len(each.reach)] = each.reach
        self.radius = np.array([each.radius for each in lines])[self.way]

    def near(self, places: Coordinates, slack: float) -> Pairs:
        """Return the pairs that overlap or are nearer than a slack, mm."""
        # Most pairs are too far apart for any line to matter.
        pairs = self._within(places, _AT_CORNERS * slack)
        return pairs.of(np.flatnonzero(pairs.distance(places) < slack))

    def deepest(self, places: Coordinates) -> float:
        """Return how deep the deepest overlap is, 0 where there is none."""
        return max(0.0, -float(self._within(places, 0.0).distance(places).min(initial=0.0)))

    def _within(self, places: Coordinates, slack: float) -> Pairs:
        """Return the pairs whose pieces' origins are near enough for the pieces to be."""
        apart = places[self.second] - places[self.first]
        kept = np.flatnonzero(np.hypot(apart[:, 0], apart[:, 1]) < self.radius + slack)
        way = self.way[kept]
        return Pairs(
            self.first[kept],
            self.second[kept],
            self.normals[way, :, 0],
            self.normals[way, :, 1],
            self.reaches[way],
        )


def parted(
    outline: Outline,
    turns: Sequence[float],
    places: Coordinates,
    size: tuple[float, float],
    *,
    gap: float,
    budget: Budget,
    limits: SeparationLimits = THOROUGH,
) -> Coordinates | None:
    """Return places at which no pieces overlap, ``None`` when none were found.

    Args:
        outline: a convex outline.
        turns: of each piece, degrees.
        places: where each piece's origin lies at first.
        size: width and height of the rectangle, lower left corner 0, 0, that holds all.
        gap: least distance, mm.
        budget: pays for every move.
        limits: how long to go on.

    Raises:
        SearchEnded: when the budget is spent.
    """
    boxes = [turned(outline, turn).bounds for turn in turns]
    low = np.array([(-box.left, -box.bottom) for box in boxes])
    high = np.array([(size[0] - box.right, size[1] - box.top) for box in boxes])
    if (high < low).any():
        return None
    pairs = _AllPairs(outline, turns, gap)
    cost = _STEPS_PER_MOVE + _STEPS_PER_PAIR * len(turns) * (len(turns) - 1) / 2.0
    places = np.clip(places, low, high)
    move = np.zeros_like(places)
    least = np.inf
    near = pairs.near(places, _SLACK)
    for number in range(limits.max_moves):
        if number and number % _MOVES_BETWEEN_PAIRS == 0:
            near = pairs.near(places, _SLACK + _MOVES_BETWEEN_PAIRS * float(np.abs(move).max()))
        pull, deepest, depth = near.pull(places)
        if deepest < _NEARER and pairs.deepest(places) < _NEARER:
            return places
        budget.spend(cost)
        if number % limits.between_looks == 0:
            if depth > limits.smaller * least:
                return None
            least = depth
        move = _MOMENTUM * move + _PULL * pull
        places = np.clip(places + move, low, high)
    return None


def placed_at(
    item: Item, turns: Sequence[float], places: Coordinates, room: WorkArea, *, upright: bool
) -> list[Placed]:
    """Return the pieces that were parted, on the room; standing up where ``upright``."""
    found = []
    for turn, (x, y) in zip(turns, places.tolist(), strict=True):
        move = moved_into(Rigid(turn, x, y), room, upright=upright)
        found.append(Placed(item.piece, Variant(move.turn_deg, item.outline), move.x, move.y))
    return found


@dataclass(frozen=True, eq=False)
class Lines:
    """The lines of a convex no-fit polygon: normals, how far out they lie, and its corners do."""

    normals: Coordinates
    reach: Coordinates
    radius: float


@lru_cache(maxsize=1024)
def _lines(outline: Outline, first: float, second: float, gap: float) -> Lines:
    """Return the lines of the no-fit polygon of an outline at two turns, degrees."""
    return lines_of(no_fit(turned(outline, first), turned(outline, second), gap), _NEARER, _MORE)


def lines_of(ring: Coordinates, shortest: float, more: float) -> Lines:
    """Return the lines of a convex counter-clockwise ring.

    Args:
        ring: the first point repeated at the end.
        shortest: edges that are no longer have no line, mm.
        more: how far the lines are moved out, mm.
    """
    edges = ring[1:] - ring[:-1]
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    edges, starts = edges[lengths > shortest], ring[:-1][lengths > shortest]
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    reach = (normals * starts).sum(axis=1) + more
    radius = float(np.hypot(ring[:, 0], ring[:, 1]).max()) + more * _AT_CORNERS
    return Lines(normals, reach, radius)
