"""The repeating unit of a row: one piece, or one and its half turn side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geometry.layout.nofit import no_fit, reach_right
from geometry.layout.polygons import HOLLOW_STAND_OFF, Coordinates, holding_polygon, turned
from geometry.model.outline import Outline
from geometry.model.transform import cos_sin_deg, moved
from geometry.separation import separation

#: Halvings when pieces with arcs are drawn together exactly: to 1e-10 mm.
_HALVINGS = 32
#: Pairs of a piece and its half turn that are kept at each turn.
_PAIRS = 4


@dataclass(frozen=True)
class Member:
    """One piece of a unit: its turn and where its own origin lies."""

    turn_deg: float
    outline: Outline
    x: float
    y: float


@dataclass(frozen=True)
class Unit:
    """Pieces that repeat along x every ``period`` mm."""

    members: tuple[Member, ...]
    period: float

    @cached_property
    def bottom(self) -> float:
        """Lowest y of the unit."""
        return min(each.y + each.outline.bounds.bottom for each in self.members)

    @cached_property
    def top(self) -> float:
        """Highest y of the unit."""
        return max(each.y + each.outline.bounds.top for each in self.members)


class Shape:
    """One outline with everything that units of it need: its no-fit rings at any turn."""

    def __init__(self, outline: Outline, gap: float) -> None:
        self.outline = outline
        self.gap = gap
        self.exact = not outline.has_arcs
        self._rings: dict[bool, Coordinates] = {}

    @cached_property
    def symmetric(self) -> bool:
        """Whether half a turn maps the outline onto itself."""
        return _same(holding_polygon(self.outline), -holding_polygon(self.outline))

    def ring(self, first: float, second: float) -> Coordinates:
        """Return the no-fit ring of two turns that are alike or half a turn apart, degrees."""
        half = abs((second - first) % 360.0 - 180.0) < 1e-9  # noqa: PLR2004 - rounding of turns
        if half not in self._rings:
            other = turned(self.outline, 180.0) if half else self.outline
            self._rings[half] = no_fit(self.outline, other, self.gap)
        cos, sin = cos_sin_deg(first)
        ring: Coordinates = self._rings[half] @ np.array([[cos, sin], [-sin, cos]])
        return ring

    def at(self, turn_deg: float, x: float = 0.0, y: float = 0.0) -> Member:
        """Return a member of this shape."""
        turn = turn_deg % 360.0
        return Member(turn, turned(self.outline, turn), x, y)


def _same(a: Coordinates, b: Coordinates) -> bool:
    """Tell whether two polygons are the same up to a move, within a thousandth of a mm."""
    if len(a) != len(b):
        return False
    a, b = a - a.mean(axis=0), b - b.mean(axis=0)
    near = np.abs(a[:, None, :] - b[None, :, :]).max(axis=2).min(axis=1)
    return bool(near.max() < 1e-3)  # noqa: PLR2004 - as said


def units_of(shape: Shape, turn: float, *, half_turns: bool) -> Iterator[Unit]:
    """Yield the units worth trying at one turn, the single piece first."""
    yield drawn_together(shape, _repeat(shape, (shape.at(turn),)))
    if half_turns and not shape.symmetric:
        for pair in _pairs(shape, turn):
            yield drawn_together(shape, pair)


def _pairs(shape: Shape, turn: float) -> Iterator[Unit]:
    """Yield pairs of a piece and its half turn, the densest first, the best few."""
    ring = shape.ring(turn, turn + 180.0)
    upright, reversed_ = shape.at(turn), shape.at(turn + 180.0)
    low = upright.outline.bounds.bottom - reversed_.outline.bounds.bottom
    high = upright.outline.bounds.top - reversed_.outline.bounds.top
    heights = np.unique(np.round(np.concatenate([[low, high], ring[:, 1]]), 7))
    tall = upright.outline.bounds.height
    found: list[tuple[float, int, Unit]] = []
    heights = heights[np.abs(heights - (low + high) / 2.0) < tall]
    for number, (y, x) in enumerate(zip(heights, reach_right(ring, heights), strict=True)):
        if not np.isfinite(x):
            continue
        unit = _repeat(shape, (upright, shape.at(turn + 180.0, float(x), float(y))))
        found.append((unit.period * (unit.top - unit.bottom), number, unit))
    for _, _, unit in sorted(found, key=lambda each: each[:2])[:_PAIRS]:
        yield unit


def _repeat(shape: Shape, members: tuple[Member, ...]) -> Unit:
    """Return the unit with the least period at which its copies keep the gap."""
    period = 0.0
    for first in members:
        for second in members:
            ring = shape.ring(first.turn_deg, second.turn_deg)
            reach = float(reach_right(ring, np.array([second.y - first.y]))[0])
            if np.isfinite(reach):
                period = max(period, reach - (second.x - first.x))
    return Unit(members, period)


def drawn_together(shape: Shape, unit: Unit) -> Unit:
    """Return the unit with its period by the outlines themselves, arcs and all."""
    return unit if shape.exact else Unit(unit.members, _drawn_together(shape, unit))


def _drawn_together(shape: Shape, unit: Unit) -> float:
    """Return the least period by the outlines themselves, arcs and all."""
    fails, works = unit.period - 4.0 * HOLLOW_STAND_OFF, unit.period
    for _ in range(_HALVINGS):
        middle = (fails + works) / 2.0
        if all(
            far_enough(shape, first, second, middle, 0.0)
            for first in unit.members
            for second in unit.members
        ):
            works = middle
        else:
            fails = middle
    return works


def far_enough(shape: Shape, first: Member, second: Member, dx: float, dy: float) -> bool:
    """Tell whether a member moved by dx, dy keeps the gap from another, exactly."""
    placed = moved(second.outline, second.x - first.x + dx, second.y - first.y + dy)
    if shape.gap == 0.0:
        # Touching is allowed: what is not is running into each other, seen a hair further off.
        hair = 1e-9
        length = float(np.hypot(dx, dy)) or 1.0
        placed = moved(placed, hair * dx / length, hair * dy / length)
        return separation(first.outline, placed, enough=hair) > 0.0
    return separation(first.outline, placed, enough=2.0 * shape.gap) >= shape.gap
