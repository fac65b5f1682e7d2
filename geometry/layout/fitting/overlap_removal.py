"""Pieces that overlap a little, moved until they do not: their turns and their number stay.

Source:
    Minimising the overlap of a layout by moving every piece along the directions that separate it
    soonest from its neighbours: Imamichi, Yagiura and Nagamochi, "An iterated local search
    algorithm based on nonlinear programming for the irregular strip packing problem", Discrete
    Optimization 6 (2009). There a quasi-Newton method descends; here a gradient with momentum
    (B. Polyak, "Some methods of speeding up the convergence of iteration methods", 1964).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import Budget
from geometry.layout.fitting.bottom_left import Placed, Variant
from geometry.layout.fitting.holding_polygons import Coordinates, turned
from geometry.layout.fitting.near_pairs import NearPairs, NearPairsInSectors
from geometry.layout.fitting.piece_pairs import NEARER, PiecePairs
from geometry.layout.fitting.separating_lines import Overlaps
from geometry.layout.item import Item
from geometry.layout.sides import moved_into
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.transform import Rigid

#: The gradient's share of a move, and the share of the move before it.
_PULL, _MOMENTUM = 0.25, 0.85
#: Pairs nearer than this, mm, are looked at, and moves after which they are sought again.
_SLACK, _MOVES_BETWEEN_PAIRS = 2.0, 10
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


@dataclass(frozen=True, eq=False)
class Overlapping:
    """Pieces that overlap in a rectangle.

    Attributes:
        turns: of each piece, degrees.
        places: where each piece's origin lies at first.
        size: width and height of the rectangle, lower left corner 0, 0, that holds all.
    """

    turns: Sequence[float]
    places: Coordinates
    size: tuple[float, float]


class Parting:
    """Pieces of one convex outline in rectangles, as many in each, until none overlap.

    All rectangles are moved at once, because most of a move's time is the same for few pieces as
    for many. Each comes to what it would come to alone.

    Attributes:
        found: for each rectangle, places at which no pieces overlap; ``None`` if none were found.
        moves: made in each rectangle.
    """

    def __init__(
        self,
        outline: Outline,
        starts: Sequence[Overlapping],
        *,
        gap: float,
        limits: SeparationLimits = THOROUGH,
    ) -> None:
        turns = [turn for start in starts for turn in start.turns]
        self._count, self._limits = len(starts[0].turns), limits
        kinds = {turn: number for number, turn in enumerate(dict.fromkeys(turns))}
        boxes = np.array([turned(outline, turn).bounds for turn in kinds])
        boxes = boxes.T[:, [kinds[turn] for turn in turns]]
        sizes = np.repeat([start.size for start in starts], self._count, axis=0).T
        # All x in one line and all y in another: pairs of pieces are looked up in them.
        self._low = np.asfortranarray(-boxes[:2].T)
        self._high: Coordinates = np.asfortranarray((sizes - boxes[2:]).T)
        fits: NDArray[np.bool_] = self._high >= self._low
        self._going: NDArray[np.bool_] = np.all(fits.reshape(len(starts), -1), axis=1)
        self._pairs = PiecePairs(outline, turns, gap, len(starts))
        self._places = np.asfortranarray(np.concatenate([start.places for start in starts]))
        self.found: list[Coordinates | None] = [None] * len(starts)
        self.moves = np.zeros(len(starts), dtype=np.int64)

    def pay(self, rectangle: int, budget: Budget) -> None:
        """Spend the steps of all moves made in a rectangle.

        Raises:
            SearchEnded: when the budget is spent.
        """
        cost = self.cost
        for _ in range(int(self.moves[rectangle])):
            budget.spend(cost)

    @property
    def cost(self) -> float:
        """Steps that a move in one rectangle takes."""
        return _STEPS_PER_MOVE + _STEPS_PER_PAIR * self._count * (self._count - 1) / 2.0

    def run(self) -> Iterator[None]:
        """Part the pieces; every move is announced before it is made."""
        places = np.minimum(np.maximum(self._places, self._low), self._high)
        move, least = np.zeros_like(places), np.full(len(self.found), np.inf)
        if not self._going.any():
            return
        near = self._near(places, move)
        for number in range(self._limits.max_moves):
            if number and number % _MOVES_BETWEEN_PAIRS == 0:
                near = self._near(places, move)
            over = near.overlaps(places)
            ended = self._keep_parted(places, over)
            if ended and not self._going.any():
                return
            self.moves += self._going
            yield
            if number % self._limits.between_looks == 0:
                ended |= self._give_up(over, least)
                if ended and not self._going.any():
                    return
            if ended:
                near = self._of_going(near.numbers)
            move *= _MOMENTUM
            move += _PULL * over.pull(len(places))
            places = places + move
            np.maximum(places, self._low, out=places)
            np.minimum(places, self._high, out=places)

    def _of_going(self, numbers: NDArray[np.int64]) -> NearPairs | NearPairsInSectors:
        """Return those of pairs that lie in rectangles that are not given up."""
        return self._pairs.of(numbers[self._going[self._pairs.rectangle[numbers]]])

    def _near(self, places: Coordinates, move: Coordinates) -> NearPairs | NearPairsInSectors:
        """Return the pairs that may overlap before pairs are sought again."""
        far = np.abs(move).reshape(len(self.found), -1).max(axis=1)
        slack, rectangle = _SLACK + _MOVES_BETWEEN_PAIRS * far, self._pairs.rectangle
        among = None if self._going.all() else self._going[rectangle].nonzero()[0]
        here = rectangle if among is None else rectangle[among]
        return self._pairs.of(self._pairs.near(places, slack[here], among))

    def _keep_parted(self, places: Coordinates, over: Overlaps) -> bool:
        """Keep the places of rectangles whose pieces are parted; return whether there are any."""
        ended = False
        deep = over.first[over.depth >= NEARER] // self._count
        deep_in = np.bincount(deep, minlength=len(self.found))
        for at in (self._going & (deep_in == 0)).nonzero()[0].tolist():
            if self._pairs.deepest(places, at) < NEARER:
                self.found[at] = places[at * self._count : (at + 1) * self._count].copy()
                self._going[at], ended = False, True
        return ended

    def _give_up(self, over: Overlaps, least: Coordinates) -> bool:
        """Give up rectangles whose overlaps have hardly become smaller; return whether any were."""
        ended, rectangle = False, over.first // self._count
        for at in np.flatnonzero(self._going).tolist():
            here = over.depth[rectangle == at]
            now = float(here @ here)
            if now > self._limits.smaller * least[at]:
                self._going[at], ended = False, True
            least[at] = now
        return ended


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
    parting = Parting(outline, [Overlapping(turns, places, size)], gap=gap, limits=limits)
    for _ in parting.run():
        budget.spend(parting.cost)
    return parting.found[0]


def placed_at(
    item: Item, turns: Sequence[float], places: Coordinates, room: WorkArea, *, upright: bool
) -> list[Placed]:
    """Return the pieces that were parted, on the room; standing up where ``upright``."""
    found = []
    for turn, (x, y) in zip(turns, places.tolist(), strict=True):
        move = moved_into(Rigid(turn, x, y), room, upright=upright)
        found.append(Placed(item.piece, Variant(move.turn_deg, item.outline), move.x, move.y))
    return found
