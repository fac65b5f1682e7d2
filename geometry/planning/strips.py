"""Strips across the cloth: how equal pieces lie side by side in one, to be cut with a ruler.

Source:
    Common practice, no source: triangles, trapezoids and kites are cut from strips as high as the
    piece, each piece turned half round beside the one before it; diamonds with two sides on the
    strip's edges. The distances from piece to piece are own derivation: the most that the right
    side of one and the left side of the next reach into each other at any height.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid

#: Allowed turns, degrees; ``None`` when any will do.
TurnsDeg = tuple[float, ...] | None
AS_DRAWN: TurnsDeg = (0.0,)
HALF_TURN: TurnsDeg = (0.0, 180.0)

#: Tolerance of fitting pieces in a row, relative to one piece.
_NEAR = 1e-9
#: Tolerance of heights and of gains, mm.
_SAME = 1e-6
#: Sides of a piece that are tried on the strip's edge, the longest first.
_MAX_SIDES = 24
#: Corners above which a piece is boxed: a person does not cut so many with a ruler.
_MAX_CORNERS = 120


def fits(room: float, size: float) -> int:
    """Return how many pieces of a size fit side by side."""
    return math.floor(room / size + _NEAR)


@dataclass(frozen=True)
class StripPattern:
    """How equal pieces lie side by side in a strip, mm.

    Attributes:
        turn_deg: turn of every other piece, the first in ``steps``, from how it is drawn.
        height: of the strip.
        width: of a piece along the strip.
        steps: from the left side of a piece to that of the next one, from an unturned piece and
            from one that is turned half round; the same where none is turned half round.
        is_alternate: whether every other piece is turned half round.
        is_box: whether pieces are cut from rectangles of ``width`` by ``height``.
        is_cut_across: whether pieces have a side on the strip's edge, so that they are parted by
            cuts across the whole strip.
    """

    turn_deg: float
    height: float
    width: float
    steps: tuple[float, float]
    is_alternate: bool = False
    is_box: bool = False
    is_cut_across: bool = False

    @property
    def is_as_drawn(self) -> bool:
        """Return whether pieces lie as they are drawn, or half a turn from it."""
        return self.turn_deg % 180.0 == 0.0

    def count(self, room: float) -> int:
        """Return how many pieces a strip of a length holds."""
        return max(self._count(room, start) for start in (0, 1))

    def start(self, room: float) -> int:
        """Return the step that comes first in a strip that holds the most."""
        return max((0, 1), key=lambda start: (self._count(room, start), -start))

    def _count(self, room: float, start: int) -> int:
        left = room - self.width + _NEAR * self.width
        if left < 0.0:
            return 0
        pairs = math.floor(left / sum(self.steps) + _NEAR)
        one_more = left - pairs * sum(self.steps) >= self.steps[start] - _NEAR * self.width
        return 2 * pairs + (2 if one_more else 1)

    def lefts(self, count: int, start: int) -> list[tuple[float, bool]]:
        """Return where pieces begin along the strip, and whether each is turned half round."""
        found, at = [], 0.0
        for index in range(count):
            step = (start + index) % 2
            found.append((at, self.is_alternate and step == 1))
            at += self.steps[step]
        return found


def box_pattern(width: float, height: float, *, turn_deg: float = 0.0) -> StripPattern:
    """Return the pattern of pieces that are cut from rectangles side by side."""
    return StripPattern(turn_deg, height, width, (width, width), is_box=True)


@lru_cache(maxsize=512)
def strip_patterns(outline: Outline, turns_deg: TurnsDeg) -> tuple[StripPattern, ...]:
    """Return the ways in which equal pieces can lie in strips, as drawn first.

    Shape:
        Pieces with straight sides lie close together; curved ones, and those with more corners
        than are cut with a ruler, take their boxes.

    Args:
        outline: of the piece as cut.
        turns_deg: turns that its grain allows; ``None`` when any will do. Then each of its longest
            sides is tried on the strip's edge.
    """
    boxed = outline.has_arcs or len(outline.vertices) > _MAX_CORNERS
    found: list[StripPattern] = []
    for turn in _turns(outline, turns_deg, boxed=boxed):
        lying = Rigid(turn).outline(outline)
        box = lying.bounds
        if boxed or math.isclose(area(outline), box.width * box.height, rel_tol=_SAME):
            found.append(box_pattern(box.width, box.height, turn_deg=turn))
            continue
        profile = _Profile.of(lying, box)
        same, across = profile.same, _has_level_side(lying, box)
        found.append(StripPattern(turn, box.height, box.width, (same, same), is_cut_across=across))
        if turns_deg is None or any(_is_turn(turn + 180.0, each) for each in turns_deg):
            steps = profile.alternate
            if sum(steps) < 2.0 * same - _SAME:
                found.append(replace(found[-1], steps=steps, is_alternate=True))
    return tuple(found)


def _has_level_side(outline: Outline, box: Bounds) -> bool:
    """Return whether a side lies on the lower or upper edge of an outline's box."""
    ends = zip(outline.vertices, (*outline.vertices[1:], outline.vertices[0]), strict=True)
    edges = (box.bottom, box.top)
    return any(
        abs(start.y - edge) <= _SAME and abs(end.y - edge) <= _SAME
        for start, end in ends
        for edge in edges
    )


def _is_turn(one: float, other: float) -> bool:
    return abs((one - other + 180.0) % 360.0 - 180.0) <= _SAME


def _turns(outline: Outline, turns_deg: TurnsDeg, *, boxed: bool) -> Iterator[float]:
    """Yield the turns to try; half a turn on, strips are the same."""
    seen: list[float] = []
    wanted: Sequence[float] = (
        (0.0, 90.0, *(() if boxed else _on_sides(outline))) if turns_deg is None else turns_deg
    )
    for turn in wanted:
        if not any(_is_turn(2.0 * turn, 2.0 * each) for each in seen):
            seen.append(turn)
            yield turn


def _on_sides(outline: Outline) -> Iterator[float]:
    """Yield the turns at which one of the longest sides lies level, the piece above it."""
    for side in sorted(outline.segments, key=lambda each: -round(each.length, 6))[:_MAX_SIDES]:
        along = math.atan2(side.end.y - side.start.y, side.end.x - side.start.x)
        yield -math.degrees(along) % 360.0


@dataclass(frozen=True)
class _Profile:
    """How far a piece reaches to both sides at every height, from its box's lower left corner.

    The arrays have a line for each band of heights in which no corner lies, the lowest first, and
    a column for its lower and its upper end.
    """

    width: float
    left: NDArray[np.float64]
    right: NDArray[np.float64]

    @classmethod
    def of(cls, outline: Outline, box: Bounds) -> _Profile:
        """Return the profile of an outline with straight sides."""
        points = np.array([(each.x - box.left, each.y - box.bottom) for each in outline.vertices])
        ends = np.roll(points, -1, axis=0)
        levels = np.unique(np.round(np.concatenate([points[:, 1], box.height - points[:, 1]]), 9))
        keep = np.concatenate([[True], np.diff(levels) > _SAME])
        levels = levels[keep]
        low, high = levels[:-1, None], levels[1:, None]
        bottom = np.minimum(points[:, 1], ends[:, 1])
        top = np.maximum(points[:, 1], ends[:, 1])
        spans = (bottom <= low + _SAME) & (top >= high - _SAME) & (top - bottom > _SAME)
        rise = np.where(top - bottom > _SAME, ends[:, 1] - points[:, 1], 1.0)
        reach = np.stack(
            [
                points[:, 0] + (ends - points)[:, 0] * (level - points[:, 1]) / rise
                for level in (low, high)
            ],
            axis=-1,
        )
        inside = spans[:, :, None]
        return cls(
            box.width,
            np.where(inside, reach, np.inf).min(axis=1),
            np.where(inside, reach, -np.inf).max(axis=1),
        )

    @property
    def same(self) -> float:
        """The distance from a piece to the next one that lies alike."""
        return float((self.right - self.left).max())

    @property
    def alternate(self) -> tuple[float, float]:
        """The distances to the next piece, turned half round, and from that one to the next."""
        # Half a turn brings the band at the top to the bottom, upside down.
        left, right = self.left[::-1, ::-1], self.right[::-1, ::-1]
        return (
            max(0.0, float((self.right + right).max()) - self.width),
            max(0.0, self.width - float((self.left + left).min())),
        )


def laid_in_strip(
    outline: Outline, pattern: StripPattern, room: float, count: int
) -> tuple[Outline, ...]:
    """Return pieces as they lie in a strip, from its lower left corner.

    Args:
        outline: of the piece as cut.
        pattern: how it lies.
        room: length of the strip.
        count: of pieces; more than the strip holds are left out.
    """
    return tuple(move.outline(outline) for move in moves_in_strip(outline, pattern, room, count))


def moves_in_strip(
    outline: Outline, pattern: StripPattern, room: float, count: int
) -> tuple[Rigid, ...]:
    """Return how pieces are moved to where they lie in a strip, from its lower left corner.

    Args:
        outline: of the piece as cut.
        pattern: how it lies.
        room: length of the strip.
        count: of pieces; more than the strip holds are left out.
    """
    turns = [turn % 360.0 for turn in (pattern.turn_deg, pattern.turn_deg + 180.0)]
    boxes = [Rigid(turn).outline(outline).bounds for turn in turns]
    lefts = pattern.lefts(min(count, pattern.count(room)), pattern.start(room))
    return tuple(
        Rigid(turns[is_turned], left - boxes[is_turned].left, -boxes[is_turned].bottom)
        for left, is_turned in lefts
    )
