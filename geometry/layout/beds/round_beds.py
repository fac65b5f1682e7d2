"""Round pieces in a round bed, where rows leave a ring empty.

So many circles are strewn over the bed and pushed off each other and off its edge. Where they stay
stuck, the one that is pressed hardest goes elsewhere; then they are strewn again.

Source:
    Equal circles in a circle by the least energy from many starts: R. L. Graham, B. D. Lubachevsky,
    K. J. Nurmela and P. R. J. Ostergard, "Dense packings of congruent circles in a circle",
    Discrete Mathematics 181 (1998). There billiards and a quasi-Newton method; here a gradient
    with momentum, as in ``overlap_removal``. No more points than 2 A / sqrt(3) + P / 2 + 1 are at
    least 1 apart in a convex area A of perimeter P: J. Folkman and R. Graham, "A packing inequality
    for compact convex subsets of the plane", Canadian Mathematical Bulletin 12 (1969).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, Variant
from geometry.layout.fitting.holding_polygons import Coordinates
from geometry.layout.item import Item
from geometry.measure import area, perimeter
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.points import Point

#: Circles are kept apart by twice this more than the gap, and may come once this nearer, mm.
_HAIR = 1.0e-5
#: Share by which the area of a circle of an outline's length may differ: rounding.
_SAME = 1.0e-9
#: Pieces above which rows are left as they are: what one more needs is spread over too many.
_MAX_PIECES = 100
#: Starts for each filling whose edges an effort fills, and places that each tries for the piece
#: that is pressed hardest.
_STARTS, _ELSEWHERE = 3, 8
#: Moves of one try; every so many the overlaps must have become so much smaller.
_MOVES, _BETWEEN_LOOKS, _SHRUNK = 600, 20, 0.9
#: The gradient's share of a move, and the share of the move before it.
_PULL, _MOMENTUM = 0.3, 0.85
#: Steps per move, and more for each pair of pieces. Own measurement.
_STEPS_PER_MOVE, _STEPS_PER_PAIR = 0.04, 3.5e-5


@dataclass(frozen=True)
class _Circle:
    """A circle: its middle and its radius, mm."""

    middle: Point
    radius: float


def circle_of(outline: Outline) -> _Circle | None:
    """Return the circle that an outline is, ``None`` for any other outline.

    Of all outlines of a length only the circle has its area.
    """
    if not outline.has_arcs:
        return None
    box, radius = outline.bounds, perimeter(outline) / math.tau
    if abs(area(outline) - math.pi * radius * radius) > _SAME * radius * radius:
        return None
    return _Circle(Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0), radius)


def round_fillings(
    item: Item, room: WorkArea, count: int, *, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield ever more round pieces than ``count`` in a round bed, up to the item's quantity.

    Raises:
        SearchEnded: when the budget is spent.
    """
    piece, bed = circle_of(item.outline), circle_of(room.boundary)
    if piece is None or bed is None or room.keep_outs or not effort.edge_fillings:
        return
    apart = 2.0 * piece.radius + gap + 2.0 * _HAIR
    search = _Search(apart, bed.radius - piece.radius - 2.0 * _HAIR, effort, budget)
    variant = Variant(0.0, item.outline)
    while count < min(item.quantity, _MAX_PIECES):
        count += 1
        places = search.places(count)
        if places is None:
            return
        places += (bed.middle.x - piece.middle.x, bed.middle.y - piece.middle.y)
        yield [Placed(item.piece, variant, x, y) for x, y in sorted(places.tolist())]


@dataclass(frozen=True)
class _Search:
    """Places for the middles of circles about 0, 0.

    Attributes:
        apart: how far apart they stay, mm.
        reach: how far from 0, 0 they go, mm.
        effort: how often circles are strewn.
        budget: pays for every move.
    """

    apart: float
    reach: float
    effort: Effort
    budget: Budget

    @property
    def most(self) -> int:
        """A number of circles that no bed of this size can exceed."""
        if self.reach < 0.0:
            return 0
        across = self.reach / self.apart
        return math.floor(math.tau / math.sqrt(3.0) * across**2 + math.pi * across + 1.0)

    def places(self, count: int) -> Coordinates | None:
        """Return places for so many circles, ``None`` where none were found."""
        if count > self.most:
            return None
        chance = np.random.default_rng(count)
        for number in range(_STARTS * self.effort.edge_fillings):
            places = self._strewn(count, chance, in_rows=number % 2 == 0)
            for _ in range(_ELSEWHERE):
                places, pressed = self._pushed(places)
                if pressed is None:
                    return places
                places[pressed] = self._anywhere(1, chance)[0]
        return None

    def _strewn(self, count: int, chance: np.random.Generator, *, in_rows: bool) -> Coordinates:
        """Return places anywhere in the bed, or in rows that are turned and moved anyhow."""
        if not in_rows:
            return self._anywhere(count, chance)
        # As many as in rows that fill the bed: those nearest to the middle are taken.
        step = (2.0 * self.reach + self.apart) * math.sqrt(0.9 / count)
        most = 2 + math.ceil(math.sqrt(count))
        along, up = np.meshgrid(np.arange(-most, most + 1), np.arange(-most, most + 1))
        grid = np.column_stack([(along + up / 2.0).ravel(), (up * math.sqrt(0.75)).ravel()])
        grid += chance.uniform(-0.5, 0.5, 2)
        nearest = np.argsort(np.hypot(grid[:, 0], grid[:, 1]), kind="stable")[:count]
        rows: Coordinates = step * grid[nearest]
        return rows + chance.normal(0.0, 0.02 * step, rows.shape)

    def _anywhere(self, count: int, chance: np.random.Generator) -> Coordinates:
        radius, turn = self.reach * np.sqrt(chance.random(count)), math.tau * chance.random(count)
        return np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])

    def _pushed(self, places: Coordinates) -> tuple[Coordinates, int | None]:
        """Return places where nothing overlaps, or the last ones and what is pressed hardest.

        Raises:
            SearchEnded: when the budget is spent.
        """
        count = len(places)
        cost = _STEPS_PER_MOVE + _STEPS_PER_PAIR * count * count
        move, least, pressed = np.zeros_like(places), math.inf, np.zeros(count)
        for number in range(_MOVES):
            self.budget.spend(cost)
            from_each = places[:, None, :] - places[None, :, :]
            distance = np.hypot(from_each[..., 0], from_each[..., 1])
            np.fill_diagonal(distance, np.inf)
            depth = np.maximum(self.apart - distance, 0.0)
            out = np.hypot(places[:, 0], places[:, 1])
            beyond = np.maximum(out - self.reach, 0.0)
            if depth.max(initial=0.0) < _HAIR and beyond.max() < _HAIR:
                return places, None
            pressed = depth.sum(axis=1) + beyond
            if number % _BETWEEN_LOOKS == 0:
                energy = float((depth * depth).sum() / 2.0 + beyond @ beyond)
                if energy > _SHRUNK * least:
                    break
                least = energy
            pull = (from_each * (depth / np.maximum(distance, _HAIR))[..., None]).sum(axis=1)
            pull -= places * (beyond / np.maximum(out, _HAIR))[:, None]
            move = _MOMENTUM * move + _PULL * pull
            places = places + move
        return places, int(pressed.argmax())
