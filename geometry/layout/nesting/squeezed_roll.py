"""Pieces on a roll, of any kinds and shapes, squeezed onto less length.

A search that places pieces anywhere leaves a little room between them. Here all pieces move at
once: the roll is made shorter, and overlaps are removed. Where that ends, single pieces are moved
elsewhere or exchanged before it. Turns stay.

Source:
    Shortening a strip at a random cut, or all along, by steps that become smaller with every
    failure: Gardeyn and Vanden Berghe, arXiv 2509.13329, "compression". Overlaps of long standing
    weigh more ("guided local search"): Umetani et al., "Solving the irregular strip packing problem
    via guided local search for overlap minimization", International Transactions in Operational
    Research 16 (2009).
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import cycle

import numpy as np

from geometry.layout.effort import Budget, SearchEnded
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.fitting.holding_polygons import Coordinates
from geometry.layout.fitting.part_pairs import NEARER, PartPairs, part_count
from geometry.layout.fitting.separating_lines import Pairs
from geometry.layout.fitting.soundness import is_sound
from geometry.model.cutter import WorkArea

#: Convex parts of all pieces above which a layout is left as it is: every pair is looked at.
_MAX_PARTS = 600
#: Shares of the length that a step saves, at first and at last; a step's share of the one before
#: it, and after how many failures it is made smaller.
_FIRST, _LAST, _SMALLER, _FAILURES = 3.0e-3, 2.0e-5, 0.8, 3
#: Share that has to be saved where pieces went elsewhere, and the first step from there.
_STIRRED, _FIRST_AFTER = 2.0e-4, 2.0e-3
#: Moves of one step; every so many moves the overlaps must have become so much smaller, or have
#: failed to so many times.
_MOVES, _BETWEEN_LOOKS, _SHRUNK, _PATIENCE = 400, 15, 0.7, 4
#: The gradient's share of a move, and the share of the move before it.
_PULL, _MOMENTUM = 0.25, 0.8
#: What an overlap of long standing weighs more at each look, and at most.
_HEAVIER, _HEAVIEST = 1.3, 3.0
_MOVES_BETWEEN_PAIRS = 10
#: Pairs within this share of a usual piece's size are looked at.
_SLACK = 0.05
#: Steps per move, and more for each pair of parts. Own measurement.
_STEPS_PER_MOVE, _STEPS_PER_PAIR = 0.06, 2.5e-4
#: Steps to seek the near ones among all pairs of pieces, for each of them. Own measurement.
_STEPS_PER_ANY_PAIR = 8.0e-5


def squeezed(
    placed: Sequence[Placed],
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    budget: Budget,
    stirred: bool = False,
) -> Iterator[list[Placed]]:
    """Yield the pieces on less length of a roll, once, if any could be saved.

    Args:
        placed: all pieces, as they lie now.
        room: a roll.
        gap: least distance, mm.
        seed: of where the roll is cut.
        budget: pays for every move.
        stirred: whether pieces also go elsewhere, for as long as the budget lasts.

    Raises:
        SearchEnded: when the budget is spent. What was found until then is yielded before.
    """
    if part_count([each.variant.outline for each in placed]) > _MAX_PARTS:
        return
    search = _Search.of(placed, room, gap, budget)
    ended: SearchEnded | None = None
    try:
        chance = random.Random(seed)  # noqa: S311 - where to cut, no secret
        search.run(chance)
        if stirred and len(placed) > 1:
            search.stir(chance)
    except SearchEnded as error:
        ended = error
    if search.length < search.length_at_first:
        found = [
            replace(each, x=x, y=y)
            for each, (x, y) in zip(placed, search.places_in(room).tolist(), strict=True)
        ]
        if is_sound(found, room, gap):
            yield found
    if ended is not None:
        raise ended


@dataclass
class _Search:
    """The best places so far, from 0, 0 on, and the length of roll that they take."""

    pairs: PartPairs
    budget: Budget
    places: Coordinates
    low: Coordinates
    right: Coordinates
    highest: Coordinates
    middle: Coordinates
    slack: float
    length_at_first: float
    length: float

    @classmethod
    def of(cls, placed: Sequence[Placed], room: WorkArea, gap: float, budget: Budget) -> _Search:
        outlines = [each.variant.outline for each in placed]
        boxes, corner = [each.bounds for each in outlines], room.bounds
        places = np.array([(each.x - corner.left, each.y - corner.bottom) for each in placed])
        right = np.array([box.right for box in boxes])
        length = float((places[:, 0] + right).max())
        return cls(
            PartPairs(outlines, gap),
            budget,
            places,
            np.array([(-box.left, -box.bottom) for box in boxes]),
            right,
            np.array([corner.height - box.top for box in boxes]),
            np.array([(box.left + box.right, box.bottom + box.top) for box in boxes]) / 2.0,
            _SLACK * float(np.median([box.width * box.height for box in boxes])) ** 0.5,
            length,
            length,
        )

    def places_in(self, room: WorkArea) -> Coordinates:
        """Return the places in the room itself."""
        places: Coordinates = self.places + np.array([room.bounds.left, room.bounds.bottom])
        return places

    def run(self, chance: random.Random, step: float = _FIRST) -> None:
        """Shorten the roll until nothing helps any more.

        Raises:
            SearchEnded: when the budget is spent.
        """
        failures, tries = 0, 0
        while step >= _LAST:
            target, tries = (1.0 - step) * self.length, tries + 1
            found = self._parted(self._start(tries, target, chance), target)
            if found is not None:
                self._keep(found)
                failures = 0
                continue
            failures += 1
            if failures == _FAILURES:
                step, failures = _SMALLER * step, 0

    def stir(self, chance: random.Random) -> None:
        """Move single pieces elsewhere or exchange two, and go on from what is shorter.

        It ends where the roll is as long as its longest piece: such tries cost no steps, so the
        budget would never end them.

        Raises:
            SearchEnded: when the budget is spent.
        """
        for start in cycle((self._exchanged, self._moved)):
            target = (1.0 - _STIRRED) * self.length
            if (target - self.right < self.low[:, 0]).any():
                return
            found = self._parted(start(chance), target)
            if found is not None:
                self._keep(found)
                self.run(chance, _FIRST_AFTER)

    def _keep(self, places: Coordinates) -> None:
        self.places = places
        self.length = float((places[:, 0] + self.right).max())

    def _start(self, tries: int, target: float, chance: random.Random) -> Coordinates:
        """Return the places on a shorter roll: what lies behind a cut moved up, or all of them."""
        if tries % 2:
            behind = self.places[:, 0] + self.middle[:, 0] > chance.uniform(0.0, self.length)
            moved: Coordinates = self.places - np.outer(behind, (self.length - target, 0.0))
            return moved
        together: Coordinates = self.places * np.array([target / self.length, 1.0])
        return together

    def _exchanged(self, chance: random.Random) -> Coordinates:
        """Return the places with two pieces about each other's middle."""
        places = self.places.copy()
        first, second = chance.sample(range(len(places)), 2)
        by = places[second] + self.middle[second] - places[first] - self.middle[first]
        places[first] += by
        places[second] -= by
        return places

    def _moved(self, chance: random.Random) -> Coordinates:
        """Return the places with one piece anywhere on the roll."""
        places = self.places.copy()
        at = chance.randrange(len(places))
        low, high = self.low[at], (self.length - self.right[at], self.highest[at])
        places[at] = [chance.uniform(least, most) for least, most in zip(low, high, strict=True)]
        return places

    def _parted(self, places: Coordinates, length: float) -> Coordinates | None:
        """Return places on a length at which no pieces overlap, ``None`` when none were found."""
        high = np.column_stack([length - self.right, self.highest])
        if (high < self.low).any():
            return None
        places = np.clip(places, self.low, high)
        move, weights = np.zeros_like(places), np.ones((len(places), len(places)))
        least, looks = np.inf, 0
        near = self._near(places, self.slack)
        for number in range(_MOVES):
            if number and number % _MOVES_BETWEEN_PAIRS == 0:
                ahead = _MOVES_BETWEEN_PAIRS * float(np.abs(move).max())
                near = self._near(places, self.slack + ahead)
            self.budget.spend(_STEPS_PER_MOVE + _STEPS_PER_PAIR * len(near.first))
            over = near.overlaps(places)
            pull = over.pull(len(places), weights)
            if over.depth.max(initial=0.0) < NEARER and self.pairs.deepest(places) < NEARER:
                return places
            if number % _BETWEEN_LOOKS == 0:
                depth = float(over.depth @ over.depth)
                looks = looks + 1 if depth > _SHRUNK * least else 0
                if looks == _PATIENCE:
                    return None
                least = min(least, depth)
                heavier = _HEAVIER * weights[over.first, over.second]
                weights[over.first, over.second] = np.minimum(heavier, _HEAVIEST)
            move = _MOMENTUM * move + _PULL * pull
            places = np.clip(places + move, self.low, high)
        return None

    def _near(self, places: Coordinates, slack: float) -> Pairs:
        self.budget.spend(_STEPS_PER_ANY_PAIR * self.pairs.count)
        return self.pairs.near(places, slack)
