"""The repeating unit of a row: one piece, or one and its half turn side by side."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import product
from typing import TypeAlias

import numpy as np

from geometry.layout.fitting.envelope import Envelope
from geometry.layout.fitting.holding_polygons import (
    HOLLOW_STAND_OFF,
    Coordinates,
    holding_polygon,
    turned,
)
from geometry.layout.fitting.no_fit import no_fit
from geometry.model.outline import Outline
from geometry.model.transform import cos_sin_deg, moved
from geometry.separation import separation

#: How exactly pieces with arcs are drawn together, mm, and steps after which that is enough.
_CLOSE = 1.0e-8
_MAX_STEPS = 60
#: Boxes whose distance is larger by this than what is asked, mm, are farther whatever the rounding.
_FAR = 1.0e-6
#: Pairs of a piece and its half turn that are kept at each turn.
_PAIRS = 4
#: Corners of a triangle, and how nearly its angle is a right one and its legs are equal, mm.
_TRIANGLE, _RIGHT = 3, 1e-6


@dataclass(frozen=True)
class UnitMember:
    """One piece of a unit: its turn and where its own origin lies."""

    turn_deg: float
    outline: Outline
    x: float
    y: float


@dataclass(frozen=True)
class Unit:
    """Pieces that repeat along x every ``period`` mm, as close as they go or ``spread``."""

    members: tuple[UnitMember, ...]
    period: float
    spread: bool = False

    @cached_property
    def boxes(self) -> tuple[tuple[float, float, float, float, float], ...]:
        """Of each member the origin, x and y, and of its box there left, right and top."""
        return tuple(
            (each.x, each.y, box.left, box.right, box.top)
            for each, box in ((member, member.outline.bounds) for member in self.members)
        )

    @cached_property
    def bottom(self) -> float:
        """Lowest y of the unit."""
        return min(each.y + each.outline.bounds.bottom for each in self.members)

    @cached_property
    def top(self) -> float:
        """Highest y of the unit."""
        return max(each.y + each.outline.bounds.top for each in self.members)


#: Two members, and how far the second is moved along x and y from its place, mm.
Beside: TypeAlias = tuple[UnitMember, UnitMember, float, float]


class UnitShape:
    """One outline with everything that units of it need: its no-fit rings at any turn."""

    def __init__(self, outline: Outline, gap: float) -> None:
        self.outline = outline
        self.gap = gap
        self.exact = not outline.has_arcs
        self._rings: dict[float, Coordinates] = {}
        self._above: dict[tuple[float, float], Envelope] = {}
        self._right: dict[tuple[float, float], Envelope] = {}

    @cached_property
    def symmetric(self) -> bool:
        """Return whether half a turn maps the outline onto itself."""
        return _same(holding_polygon(self.outline), -holding_polygon(self.outline))

    @cached_property
    def hollow(self) -> bool:
        """Return whether a side of the outline bends inwards."""
        return any(vertex.bulge < 0.0 for vertex in self.outline.vertices)

    def ring(self, first: float, second: float) -> Coordinates:
        """Return the no-fit ring of an outline at one turn about itself at another, degrees."""
        # Turned together two pieces keep out of each other just so.
        apart = round((second - first) % 360.0, 9) % 360.0
        if apart not in self._rings:
            other = turned(self.outline, apart) if apart else self.outline
            self._rings[apart] = no_fit(self.outline, other, self.gap)
        cos, sin = cos_sin_deg(first)
        ring: Coordinates = self._rings[apart] @ np.array([[cos, sin], [-sin, cos]])
        return ring

    def above(self, first: float, second: float) -> Envelope:
        """Return how high an outline at one turn stands above itself at another, by x."""
        found = self._above.get((first, second))
        if found is None:
            found = self._above[first, second] = Envelope.above(self.ring(first, second))
        return found

    def right_of(self, first: float, second: float) -> Envelope:
        """Return how far right of itself an outline at another turn stands, by y."""
        found = self._right.get((first, second))
        if found is None:
            found = self._right[first, second] = Envelope.right_of(self.ring(first, second))
        return found

    def at(self, turn_deg: float, x: float = 0.0, y: float = 0.0) -> UnitMember:
        """Return a member of this shape."""
        turn = turn_deg % 360.0
        return UnitMember(turn, turned(self.outline, turn), x, y)


def _same(a: Coordinates, b: Coordinates) -> bool:
    """Return whether two polygons are the same up to a move, within a thousandth of a mm."""
    if len(a) != len(b):
        return False
    a, b = a - a.mean(axis=0), b - b.mean(axis=0)
    near = np.abs(a[:, None, :] - b[None, :, :]).max(axis=2).min(axis=1)
    return bool(near.max() < 1e-3)  # noqa: PLR2004 - as said


def units_of(
    shape: UnitShape, turn: float, *, half_turns: bool, quarter_turns: bool = False
) -> Iterator[Unit]:
    """Yield the units worth trying at one turn, the single piece first.

    A hollow piece that half a turn leaves as it is may take the belly of its quarter turn. Four
    right triangles with equal legs make a square, as they are cut by hand as well. With
    arcs the periods err on the safe side until a unit is drawn together.
    """
    yield repeated(shape, (shape.at(turn),))
    if half_turns and not shape.symmetric:
        yield from _pairs(shape, turn, turn + 180.0, _PAIRS)
        if quarter_turns:
            yield from _square(shape, turn)
    elif quarter_turns and shape.symmetric and shape.hollow:
        yield from _pairs(shape, turn, turn + 90.0, 1)


def _pairs(shape: UnitShape, turn: float, other: float, most: int) -> Iterator[Unit]:
    """Yield pairs of a piece and the piece at another turn, the densest first, the best few."""
    ring = shape.ring(turn, other)
    upright, reversed_ = shape.at(turn), shape.at(other)
    low = upright.outline.bounds.bottom - reversed_.outline.bounds.bottom
    high = upright.outline.bounds.top - reversed_.outline.bounds.top
    heights = np.unique(np.round(np.concatenate([[low, high], ring[:, 1]]), 7))
    tall = upright.outline.bounds.height
    heights = heights[np.abs(heights - (low + high) / 2.0) < tall]
    beside = shape.right_of(turn, other).at(heights)
    heights, beside = heights[np.isfinite(beside)], beside[np.isfinite(beside)]
    if not len(heights):
        return
    one, two = upright.outline.bounds, reversed_.outline.bounds
    # As ``repeated`` has it, for all heights at once.
    period = np.maximum(_alone(shape, turn), _alone(shape, other))
    period = np.maximum(period, beside + shape.right_of(other, turn).at(-heights))
    tops = np.maximum(one.top, heights + two.top) - np.minimum(one.bottom, heights + two.bottom)
    for index in np.argsort(np.round(period * tops, 9), kind="stable")[:most]:
        at = shape.at(other, float(beside[index]), float(heights[index]))
        yield repeated(shape, (upright, at))


def _square(shape: UnitShape, turn: float) -> Iterator[Unit]:
    """Yield four right triangles with equal legs about their right angle, a gap apart."""
    corners = holding_polygon(shape.outline)
    if not shape.exact or len(corners) != _TRIANGLE:
        return
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    at = (int(lengths.argmax()) + 2) % _TRIANGLE
    one, other = -sides[at - 1], sides[at]
    if abs(one @ other) > _RIGHT * (one @ one) or abs(lengths[at - 1] - lengths[at]) > _RIGHT:
        return
    inward = (one + other) / np.hypot(*(one + other))
    x, y = (inward * shape.gap / math.sqrt(2.0) - corners[at]).tolist()
    members = []
    for quarter in range(4):
        cos, sin = cos_sin_deg(turn + 90.0 * quarter)
        members.append(shape.at(turn + 90.0 * quarter, cos * x - sin * y, sin * x + cos * y))
    yield repeated(shape, tuple(members))


def _alone(shape: UnitShape, turn: float) -> float:
    """Return the least period of a row of the outline at one turn, mm."""
    return float(shape.right_of(turn, turn).at(np.array([0.0]))[0])


def repeated(shape: UnitShape, members: tuple[UnitMember, ...]) -> Unit:
    """Return the unit with the least period at which its copies keep the gap."""
    period = 0.0
    for first in members:
        for second in members:
            beside = shape.right_of(first.turn_deg, second.turn_deg)
            reach = float(beside.at(np.array([second.y - first.y]))[0])
            if np.isfinite(reach):
                period = max(period, reach - (second.x - first.x))
    return Unit(members, period)


def drawn_together(shape: UnitShape, unit: Unit) -> Unit:
    """Return the unit with its period by the outlines themselves, arcs and all."""
    return unit if shape.exact or unit.spread else Unit(unit.members, _drawn_together(shape, unit))


@lru_cache(maxsize=512)
def _drawn_together(shape: UnitShape, unit: Unit) -> float:
    """Return the least period by the outlines themselves, arcs and all."""
    pairs = list(product(unit.members, repeat=2))

    def spare(period: float) -> float:
        return spare_room(shape, ((first, second, period, 0.0) for first, second in pairs))

    return least_that_works(spare, unit.period - 4.0 * HOLLOW_STAND_OFF, unit.period)


def least_that_works(spare: Callable[[float], float], fails: float, works: float) -> float:
    """Return the least of a range at which room is to spare, to ``_CLOSE`` mm.

    Source:
        A move brings pieces nearer by no more than itself, so a step as long as the spare room is
        always safe (J. Hart, "Sphere tracing", The Visual Computer 12, 1996); a secant through
        two such places goes most of the way.
    """
    high = spare(works)
    if spare(fails) >= 0.0:
        return fails
    before: tuple[float, float] | None = None
    for _ in range(_MAX_STEPS):
        if works - fails < _CLOSE or high < _CLOSE:
            break
        step = high
        if before is not None and before[1] > high:
            step = max(high, high * (before[0] - works) / (before[1] - high))
        middle = works - step
        middle = middle if middle > fails else (works + fails) / 2.0
        found = spare(middle)
        if found >= 0.0:
            before, works, high = (works, high), middle, found
        else:
            before, fails = None, middle
    return works


def spare_room(shape: UnitShape, pairs: Iterable[Beside]) -> float:
    """Return by how much members are farther from others than the gap, mm, at the nearest pair.

    Exact, arcs and all; negative where one is nearer, and no more than a gap's width is reported.

    Args:
        shape: whose members they are.
        pairs: a member, the other one, and how far this one is moved along x and y.
    """
    # Touching is allowed without a gap: what is not is running into each other.
    least = 2.0 * shape.gap if shape.gap else 1.0
    for pair in pairs:
        least = min(least, _apart(shape, pair, least))
        if least <= 0.0:
            break
    if shape.gap == 0.0:
        return least if least > 0.0 else -1.0
    return least - shape.gap


def _apart(shape: UnitShape, pair: Beside, enough: float) -> float:
    """Return the distance of a pair, mm, at most ``enough``."""
    first, second, dx, dy = pair
    x, y = second.x - first.x + dx, second.y - first.y + dy
    one, two = first.outline.bounds, second.outline.bounds
    across = max(0.0, one.left - two.right - x, two.left + x - one.right)
    up = max(0.0, one.bottom - two.top - y, two.bottom + y - one.top)
    if math.hypot(across, up) > enough + _FAR:
        return enough
    placed = moved(second.outline, x, y)
    if shape.gap == 0.0:
        # Seen a hair further off.
        hair = 1e-9
        length = float(np.hypot(dx, dy)) or 1.0
        placed = moved(placed, hair * dx / length, hair * dy / length)
    return separation(first.outline, placed, enough=enough)
