"""Rows of units stacked as closely as they go: the lattices of one kind of piece.

Source:
    Double lattices (a piece and its half turn) are the densest known packings of convex bodies:
    G. Kuperberg and W. Kuperberg, "Double-lattice packings of convex bodies in the plane",
    Discrete & Computational Geometry 5 (1990); D. Mount, "The densest double-lattice packing of
    a convex polygon", DIMACS series 6 (1991).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geometry.layout.fitting.holding_polygons import HOLLOW_STAND_OFF, Coordinates
from geometry.layout.rows.row_figures import Figures
from geometry.layout.rows.row_units import (
    Unit,
    UnitMember,
    UnitShape,
    drawn_together,
    least_that_works,
    spare_room,
)

#: Offsets between rows that are tried before the best are refined.
_TRIES = 96
_TRIED = np.arange(_TRIES, dtype=np.float64)
#: Best offsets that are kept for stacking.
_KEPT = 3
#: Places about the best one, in steps, that are tried each time that steps become finer.
_FINER = np.linspace(-1.0, 1.0, 33)
_MIDDLE = len(_FINER) // 2
#: Height by which a row may seem too low from rounding, mm.
_ROUNDING = 1.0e-7


@dataclass(frozen=True)
class Step:
    """The next row: its unit, how far along and how far up from the one below."""

    unit: Unit
    dx: float
    dy: float


@dataclass(frozen=True, eq=False)
class Stack:
    """A first row's unit and the steps that follow it, over and over.

    Compared by identity, so that what is measured of stacks can be kept.

    ``there`` and ``back`` say which offsets were chosen: rows go along by the first and return
    by the second, which when ``None`` is the first undone.
    """

    shape: UnitShape
    first: Unit
    other: Unit
    there: float
    back: float | None
    steps: tuple[Step, ...]

    @property
    def density(self) -> float:
        """Pieces to the mm2 of an endless stack."""
        up = sum(step.dy for step in self.steps)
        pieces = len(self.first.members) * len(self.steps)
        return pieces / (self.first.period * max(up, 1e-9))

    @cached_property
    def figures(self) -> Figures:
        """The measures of both kinds of row."""
        return Figures.of((self.first, self.other), [(step.dx, step.dy) for step in self.steps])

    @cached_property
    def refined(self) -> Stack | None:
        """The stack with its offsets at their lowest; ``None`` when its rows do not stand."""
        return refined(self)

    @cached_property
    def straight(self) -> Stack | None:
        """The refined stack with straight rows, ``None`` where that is no other one.

        Moved a little along they lie closer, and may be a piece short where they just fit.
        """
        step = self.first.period / _TRIES
        if self.there or not _moves_along(self.shape, self.first, self.other, step):
            return None
        return refined(self, straight=True)


def stacks(shape: UnitShape, unit: Unit, *, half_turns: bool) -> Iterator[Stack]:
    """Yield ways to stack rows of a unit, offsets not yet refined."""
    flipped = _turned_unit(shape, unit) if half_turns and not shape.symmetric else None
    there = _closest(shape, unit, unit)
    up = clearance_of(shape, unit, unit, np.array([*there, *(-dx for dx in there)]))
    for number, dx in enumerate(there):
        rise, fall = float(up[number]), float(up[number + len(there)])
        yield _steps(shape, unit, unit, (dx, rise), (None, fall))
        if abs(math.remainder(2.0 * dx, unit.period)) > _ROUNDING:
            yield _steps(shape, unit, unit, (dx, rise), (dx, rise))
    if flipped is not None:
        there = _closest(shape, unit, flipped)
        back = _closest(shape, flipped, unit)[0]
        up = clearance_of(shape, unit, flipped, np.array(there))
        down = clearance_of(shape, flipped, unit, np.array([*(-dx for dx in there), back]))
        for number, dx in enumerate(there):
            rise = float(up[number])
            yield _steps(shape, unit, flipped, (dx, rise), (None, float(down[number])))
            yield _steps(shape, unit, flipped, (dx, rise), (back, float(down[-1])))


def _steps(
    shape: UnitShape,
    unit: Unit,
    other: Unit,
    there: tuple[float, float],
    back: tuple[float | None, float],
) -> Stack:
    """Return a stack by the offsets along and up of its two steps."""
    ret = -there[0] if back[0] is None else back[0]
    steps = (Step(other, *there), Step(unit, ret, back[1]))
    return Stack(shape, unit, other, there[0], back[0], steps)


def _stack(shape: UnitShape, unit: Unit, other: Unit, there: float, back: float | None) -> Stack:
    ret = -there if back is None else back
    if other is unit:
        up, down = clearance_of(shape, unit, unit, np.array([there, ret])).tolist()
    else:
        up = float(clearance_of(shape, unit, other, np.array([there]))[0])
        down = float(clearance_of(shape, other, unit, np.array([ret]))[0])
    return _steps(shape, unit, other, (there, up), (back, down))


def refined(stack: Stack, *, straight: bool = False) -> Stack | None:
    """Return a stack with its offsets at their lowest; ``None`` when its rows do not stand.

    Rows two or three steps apart must keep clear of each other too.
    """
    shape = stack.shape
    unit = drawn_together(shape, stack.first)
    # Turned by half a turn a unit repeats just as closely.
    other = unit if stack.other is stack.first else replace(stack.other, period=unit.period)
    step = unit.period / _TRIES
    there = stack.there
    if not straight:
        there = _lowest(shape, unit, other, there, step)
    back = stack.back
    if back is not None:
        back = there if other is unit else _lowest(shape, other, unit, back, step)
    found = _drawn_together(_stack(shape, unit, other, there, back))
    return found if _stands(found) else None


def _moves_along(shape: UnitShape, below: Unit, above: Unit, step: float) -> bool:
    """Return whether straight rows lie closer once they are moved a little along."""
    heights = clearance_of(shape, below, above, np.array([0.0, step, -step]))
    return bool(heights[1:].min() < heights[0] - _ROUNDING)


def _stands(stack: Stack) -> bool:
    """Return whether rows one, two and three steps apart keep clear of each other."""
    for below, start in ((stack.first, 0), (stack.other, 1)):
        following = [stack.steps[(start + far) % 2] for far in range(3)]
        along = np.array([step.dx for step in following]).cumsum()
        up = np.array([step.dy for step in following]).cumsum()
        # The next row was drawn closer than its polygon allows where it has arcs.
        slack = np.full(3, _ROUNDING)
        slack[0] = _ROUNDING if stack.shape.exact else 4.0 * HOLLOW_STAND_OFF
        if following[0].unit is following[1].unit:
            need = clearance_of(stack.shape, below, following[0].unit, along)
        else:
            # The last of them is of the same kind as the next one.
            need = np.empty(3)
            need[::2] = clearance_of(stack.shape, below, following[0].unit, along[::2])
            need[1:2] = clearance_of(stack.shape, below, following[1].unit, along[1:2])
        if (need > up + slack).any():
            return False
    return True


def _turned_unit(shape: UnitShape, unit: Unit) -> Unit:
    return Unit(
        tuple(shape.at(each.turn_deg + 180.0, -each.x, -each.y) for each in unit.members),
        unit.period,
    )


def clearance_of(shape: UnitShape, below: Unit, upper: Unit, offsets: Coordinates) -> Coordinates:
    """Return, for each offset along x, the least height of a row above another."""
    return _clearances(shape, below, upper)(offsets)


def _clearances(shape: UnitShape, below: Unit, upper: Unit) -> Callable[[Coordinates], Coordinates]:
    """Return what ``clearance_of`` does of two rows, ready to be asked many times."""
    period = below.period
    pairs = []
    for first in below.members:
        for second in upper.members:
            above = shape.above(first.turn_deg, second.turn_deg)
            along, up = second.x - first.x - above.low, first.y - second.y
            pairs.append((above.low, above.highest_of(period), along, up))

    def clearance(offsets: Coordinates) -> Coordinates:
        reach = [
            highest((offsets + along) % period + low) + up for low, highest, along, up in pairs
        ]
        best: Coordinates = reach[0] if len(reach) == 1 else np.maximum.reduce(reach)
        return best

    return clearance


def _closest(shape: UnitShape, below: Unit, above: Unit) -> list[float]:
    """Return the offsets at which rows lie about closest, best first."""
    period = below.period
    tries = _TRIED * (period / _TRIES)
    heights = clearance_of(shape, below, above, tries)
    found: list[float] = []
    nearest = period / 12.0
    for dx in tries[heights.round(6).argsort(kind="stable")].tolist():
        for kept in found:
            if abs(math.remainder(dx - kept, period)) < nearest:
                break
        else:
            found.append(dx)
            if len(found) == _KEPT:
                break
    # Straight rows are often the highest, but none of them is a piece short.
    return found if 0.0 in found else [*found, 0.0]


def _lowest(shape: UnitShape, below: Unit, above: Unit, dx: float, step: float) -> float:
    """Return the lowest place near an offset, by ever finer tries."""
    best = dx
    clearance = _clearances(shape, below, above)
    height: float | None = None
    while step > 1e-9:  # noqa: PLR2004 - far below the layout's accuracy
        tries = best + step * _FINER
        heights = clearance(tries)
        # In the middle of the tries is the place itself.
        height = float(heights[_MIDDLE]) if height is None else height
        index = int(heights.argmin())
        if heights[index] < height:
            best, height = float(tries[index]), float(heights[index])
        step /= 16.0
    return best


def _drawn_together(stack: Stack) -> Stack:
    """Return the stack with its rows' heights by the outlines themselves, arcs and all."""
    if stack.shape.exact:
        return stack
    steps, below = [], stack.first
    for step in stack.steps:
        pairs = list(_near_pairs(below, step))

        def spare(
            rise: float, pairs: Sequence[tuple[UnitMember, UnitMember, float]] = pairs
        ) -> float:
            return spare_room(stack.shape, ((a, b, dx, rise) for a, b, dx in pairs))

        up = least_that_works(spare, step.dy - 4.0 * HOLLOW_STAND_OFF, step.dy)
        steps.append(Step(step.unit, step.dx, up))
        below = step.unit
    return replace(stack, steps=tuple(steps))


def _near_pairs(below: Unit, step: Step) -> Iterator[tuple[UnitMember, UnitMember, float]]:
    """Yield members of two rows that can touch, with the offset along x of the upper's copy."""
    for first in below.members:
        for second in step.unit.members:
            a, b = first.outline.bounds, second.outline.bounds
            base = step.dx + second.x - first.x
            low = math.floor((a.left - b.right - base) / below.period)
            high = math.ceil((a.right - b.left - base) / below.period)
            for copy in range(low, high + 1):
                yield first, second, step.dx + copy * below.period
