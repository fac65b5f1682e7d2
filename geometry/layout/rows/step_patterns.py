"""Rows with ever so many pieces, of which some stand straight and others half a period along.

With the pieces as close as they go, or farther apart. ``stepped_rows`` lays them in rectangles.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import QUICK, Effort
from geometry.layout.fitting.fit import candidate_turns
from geometry.layout.item import Filling, Item
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.row_patterns import distinct_turns, frames, shape_of
from geometry.layout.rows.row_units import Unit, UnitShape, units_of
from geometry.layout.rows.stacks import clearance_of
from geometry.layout.sides import moved_into
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Placement
from geometry.model.segments import Arc
from geometry.model.transform import Rigid

#: Periods between circles of a row at which the rows above and below a row of them touch as well.
_WIDEST = math.sqrt(3.0)
#: Heights are the same where they are when rounded, mm.
_DECIMALS, _STEPS_TO_A_MM = 9, 1e9
#: Radii and centres of arcs that differ by less make one circle, mm.
_SAME = 1e-9


@dataclass(frozen=True)
class Steps:
    """Full rows with ``each`` pieces, and rows with one piece less between them.

    Attributes:
        unit: a piece that repeats.
        each: pieces of a full row.
        along: how far every other full row is moved along, mm.
        straight: height of a full row above a full one, mm.
        half: height between a full row and a short one, mm.
        height: of the frame that the rows lie in, mm.
        upright: whether the frame stands.
    """

    unit: Unit
    each: int
    along: float
    straight: float
    half: float
    height: float
    upright: bool

    def heights(self, counts: NDArray[np.int64]) -> Values:
        """Return the least heights of rows with so many pieces, mm."""
        found: Values = StepFigures.of((self,)).least_heights(counts)[0]
        return found

    def short_rows(self, count: int) -> int:
        """Return how many rows are short where rows of so many pieces are least high."""
        each, tall = self.each, self.unit.top - self.unit.bottom
        heights = []
        # As ``StepFigures`` has it, which takes longer for a single way.
        for short in range(count // (2 * max(2, each) - 1) + 2 if each > 1 else 1):
            full = max(math.ceil((count - short * (each - 1)) / each), short, 1)
            last_is_short = float(full == short)
            steps = float(full) - 1.0 - short + last_is_short
            height = steps * self.straight + tall + (2.0 * short - last_is_short) * self.half
            heights.append(round(height * _STEPS_TO_A_MM))
        return heights.index(min(heights))

    @property
    def fullest(self) -> int:
        """Most pieces that go into the frame."""
        spare = self.height + SLACK - (self.unit.top - self.unit.bottom)
        if spare < 0.0:
            return 0
        best = self.each * (1 + math.floor(spare / self.straight))
        for short in range(1, math.floor(spare / self.half) // 2 + 2):
            rest = spare - 2.0 * short * self.half
            if rest >= 0.0:
                full = short + 1 + math.floor(rest / self.straight)
            elif rest + self.half >= 0.0:
                full = short
            else:
                break
            best = max(best, full * self.each + short * (self.each - 1))
        return best

    def filling(self, item: Item, room: WorkArea, count: int) -> Filling:
        """Return so many pieces on the least height."""
        placed = [moved_into(move, room, upright=self.upright) for move in self.moves(count)]
        return tuple(Placement(item.piece, move) for move in placed)

    def moves(self, count: int) -> list[Rigid]:
        """Return the places of so many pieces on the least height of the frame, from 0, 0 on."""
        short = self.short_rows(count)
        (piece,) = self.unit.members
        box = piece.outline.bounds
        full = max(math.ceil((count - short * (self.each - 1)) / self.each), short, 1)
        moves: list[Rigid] = []
        x, y, straight = 0.0, 0.0, full - short
        for row in range(full + short):
            after = row - max(straight, 1)
            is_short = short > 0 and after >= 0 and after % 2 == 0
            if row:
                y += self.straight if after < 0 else self.half
            if row and after < 0:
                x = self.along - x
            start = x + self.unit.period / 2.0 if is_short else x
            for number in range(self.each - is_short):
                at = start + number * self.unit.period
                moves.append(Rigid(piece.turn_deg, at - box.left, y - box.bottom))
        return moves[:count]


@dataclass(frozen=True, eq=False)
class StepFigures:
    """Measures of ways to lay such rows: a number for each way, in lines of one, mm.

    Attributes:
        tall: height of a piece.
        straight: straight step.
        half: half step.
        height: of the frame.
        each: every number of pieces in a row that there is, in a column of layers.
        alike: which of those each way has; what rows there are depends on it alone.
    """

    tall: Values
    straight: Values
    half: Values
    height: Values
    each: NDArray[np.int64]
    alike: NDArray[np.int64]

    @classmethod
    def of(cls, ways: Sequence[Steps]) -> StepFigures:
        """Return the figures of ways."""
        figures = [
            (way.unit.top - way.unit.bottom, way.straight, way.half, way.height) for way in ways
        ]
        each, alike = np.unique([way.each for way in ways], return_inverse=True)
        tall, straight, half, height = np.array(figures).reshape(-1, 4).T[:, :, None]
        return cls(tall, straight, half, height, each[:, None], alike)

    def heights(self, counts: NDArray[np.int64]) -> Values:
        """Return how high rows of so many pieces are with 0, 1, 2 ... short rows.

        Shape:
            short rows, way, count; infinite where a way has no short rows.
        """
        return np.round(self._heights(counts), _DECIMALS)

    def least_heights(self, counts: NDArray[np.int64]) -> Values:
        """Return how high rows of so many pieces are with the best number of short rows.

        Shape:
            way, count.
        """
        least: Values = np.round(self._heights(counts).min(axis=0), _DECIMALS)
        return least

    def _heights(self, counts: NDArray[np.int64]) -> Values:
        each = self.each
        # With so many short rows all others are full ones below and above them.
        fewest = int(each.min())
        most = int(counts.max()) // (2 * max(2, fewest) - 1) + 1
        short = np.arange(most + 1)[:, None, None]
        full = np.ceil((counts - short * (each - 1)) / each)
        np.maximum(full, np.maximum(short, 1.0), out=full)
        last_is_short = (full == short).astype(np.float64)
        steps, halves = full - 1.0 - short + last_is_short, 2.0 * short - last_is_short
        heights: Values = steps.take(self.alike, axis=1)
        heights *= self.straight
        heights += self.tall
        part = halves.take(self.alike, axis=1)
        part *= self.half
        heights += part
        if fewest < 2:  # noqa: PLR2004
            heights[1:, each[self.alike, 0] < 2] = np.inf  # noqa: PLR2004
        return heights


def steps_of(item: Item, width: float, gap: float) -> Iterator[Steps]:
    """Yield such rows of a width, on a frame without an end, at the turns of the first stage."""
    if item.fills_its_box:
        return
    for turn in step_turns(item, QUICK):
        for local, uprights in frames(item, turn):
            # Rows of an upright frame are those of a lying one a quarter turn on.
            turns = {local, (local + 90.0) % 360.0} if len(uprights) > 1 else {local}
            if uprights == (True,):
                turns = set()
            for each in sorted(turns):
                for steps in step_patterns(shape_of(item.outline, gap), each, width, loose=True):
                    yield replace(steps, height=math.inf)


def tight_rows(item: Item, gap: float) -> Iterator[tuple[float, float]]:
    """Yield the height of a row of pieces as close as they go, and of one half a period along."""
    if item.fills_its_box:
        return
    shape = shape_of(item.outline, gap)
    for turn in step_turns(item, QUICK):
        unit = _unit(shape, turn)
        yield unit.top - unit.bottom, _steps(shape, unit, 1, 0.0).half


def step_turns(item: Item, effort: Effort) -> tuple[float, ...]:
    """Return the turns of a piece that differ in such rows."""
    turns = distinct_turns(item, candidate_turns(item)[0], effort)
    return turns if _diameter(item.outline) is None else turns[:1]


@lru_cache(maxsize=512)
def step_patterns(shape: UnitShape, turn: float, width: float, *, loose: bool) -> tuple[Steps, ...]:
    """Return rows of a width, edge to edge or as loose as the width allows."""
    return tuple(_loose(shape, turn, width) if loose else _edge_to_edge(shape, turn, width))


def _edge_to_edge(shape: UnitShape, turn: float, width: float) -> Iterator[Steps]:
    unit, spare = _unit(shape, turn), width + SLACK
    most = math.floor((spare - unit.members[0].outline.bounds.width) / unit.period) + 1
    if most > 0:
        yield _steps(shape, unit, most, 0.0)


def _loose(shape: UnitShape, turn: float, width: float) -> Iterator[Steps]:
    """Yield rows with pieces as close as they go, and as far apart as the width allows.

    With the pieces of a row farther apart a short row lies lower between them. Closer they leave
    room to move every other full row along, which lowers that one. Between the two, and up to where
    a short row lies lowest, circles are higher, because both heights bend down.
    """
    unit = _unit(shape, turn)
    spare = width - unit.members[0].outline.bounds.width
    most = math.floor((spare + SLACK) / unit.period) + 1
    widest = _WIDEST * unit.period
    for each in range(max(2, math.floor(spare / widest) + 1), most + 1):
        last = spare / (each - 1)
        for period in (max(unit.period, spare / (each - 0.5)), min(widest, last), last):
            wide = replace(unit, period=max(period, unit.period), spread=True)
            along = min(max(0.0, spare - (each - 1) * wide.period), wide.period / 2.0)
            yield _steps(shape, wide, each, along)
    if most == 1:
        wide = replace(unit, period=unit.period + 2.0 * spare, spread=True)
        yield _steps(shape, wide, 1, max(0.0, spare))


def _unit(shape: UnitShape, turn: float) -> Unit:
    """Return the single piece, as close to its copies as it goes."""
    unit = next(iter(units_of(shape, turn, half_turns=False)))
    diameter = _diameter(shape.outline)
    return unit if diameter is None else replace(unit, period=diameter + shape.gap)


def _steps(shape: UnitShape, unit: Unit, each: int, along: float) -> Steps:
    # A row is moved along and the next one back: not as high where a piece is slanted one way.
    offsets = np.array([along, -along, unit.period / 2.0])
    diameter = _diameter(shape.outline)
    if diameter is None:
        rises = clearance_of(shape, unit, unit, offsets)
    else:
        # Centres of circles are a diameter and the gap apart, also from the next one in the row.
        far = np.abs(offsets)
        near = np.minimum(far, unit.period - far)
        rises = np.sqrt(np.maximum(0.0, (diameter + shape.gap) ** 2 - near**2))
    # Two rows on, pieces may stand straight above: half of their height is the least of any step.
    there, back, half = np.maximum(rises, (unit.top - unit.bottom + shape.gap) / 2.0).tolist()
    straight = max(there, back)
    return Steps(unit, each, along, straight, half, 0.0, upright=False)


@lru_cache(maxsize=256)
def _diameter(outline: Outline) -> float | None:
    """Return the diameter of a circle, mm; ``None`` of other outlines."""
    arcs = [part for part in outline.segments if isinstance(part, Arc)]
    if len(arcs) < len(outline.segments):
        return None
    centre, radius = arcs[0].centre, arcs[0].radius
    for arc in arcs[1:]:
        far = math.hypot(arc.centre.x - centre.x, arc.centre.y - centre.y)
        if far > _SAME or abs(arc.radius - radius) > _SAME:
            return None
    return 2.0 * radius
