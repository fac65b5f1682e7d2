"""Chirality: whether an outline's mirror image is itself, another piece, or neither."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import product
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from geometry.model.merging import first_corner, merge_neighbours
from geometry.model.outline import Chain, Outline, Region
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Line, Segment, segment
from geometry.model.transform import Rigid

#: ``free``, or the allowed turns in degrees.
_TurnsDeg: TypeAlias = tuple[float, ...] | None
_Array: TypeAlias = npt.NDArray[np.complex128]

#: Outlines that differ by at most this, mm, are congruent; this is the promised accuracy.
_SAME = 1.0e-3
#: Turns that differ by at most this, degrees, are equal.
_SAME_DEG = 1.0e-3
#: Maximum number of turns to find; a region with more is round enough for any of them.
_MAX_TURNS = 48
#: Tolerance for edges on the same line or circle, rad and mm.
_STRAIGHT = 1.0e-9
#: Marks for information only, which a stack has on its top layer only.
_WORDS = {"label", "grain-arrow"}


@lru_cache(maxsize=4096)
def mirror_turns(region: Region, other: Region) -> tuple[float, ...]:
    """Return the turns at which one region's mirror image coincides with another, if any.

    The image is mirrored in the y axis and then turned. Outlines, holes and marks must coincide;
    labels and grain arrows are not compared.

    Units:
        degrees counter-clockwise, 0 to 360, ascending.

    Source:
        Derived: congruent rings agree edge by edge from some vertex on, and one edge determines the
            motion.
    """
    image = Rigid(mirrored=True).region(region)
    one, two = merged_edges(image.outline), merged_edges(other.outline)
    if len(one) != len(two):
        return ()
    starts, middles, turns = _ring(one)
    onto, onto_middles, onto_turns = _ring(two)
    found: list[float] = []
    for shift in range(len(one)):
        unit = onto_turns[0] / turns[shift]
        reach = onto[0] - unit * starts[shift]
        off = max(
            np.abs(unit * np.roll(starts, -shift) + reach - onto).max(),
            np.abs(unit * np.roll(middles, -shift) + reach - onto_middles).max(),
        )
        if off > _SAME:
            continue
        turn = math.degrees(cmath.phase(unit)) % 360.0
        move = Rigid(turn, reach.real, reach.imag)
        if not any(_is_same_turn(turn, known) for known in found) and _same_inside(
            move.region(image), other
        ):
            found.append(0.0 if _is_same_turn(turn, 0.0) else turn)
        if len(found) == _MAX_TURNS:
            break
    return tuple(sorted(found))


def pair_turns(
    turns: _TurnsDeg, other: _TurnsDeg, mirrored: Sequence[float]
) -> tuple[bool, _TurnsDeg]:
    """Return the turns of a piece at which its mirror image has the other piece's grain.

    A ply lying face down is turned over about the lengthwise grain, the y axis: the piece cut from
    it is the mirror image at the opposite turn.

    Args:
        turns: allowed turns of the piece, ``None`` for any.
        other: allowed turns of the piece that is the mirror image.
        mirrored: turns at which the mirror image coincides with that piece.
    """
    if not mirrored:
        return False, None
    if other is None:
        return True, turns
    fitting = {(-turn - each) % 360.0 for turn in mirrored for each in other}
    if turns is not None:
        fitting = {
            turn for turn in turns if any(_is_same_turn(turn, allowed) for allowed in fitting)
        }
    return bool(fitting), tuple(sorted(fitting))


def _is_same_turn(one: float, other: float) -> bool:
    return abs(math.remainder(one - other, 360.0)) <= _SAME_DEG


def merged_edges(outline: Outline) -> list[Segment]:
    """Return the edges, merged where they continue along one line or circle."""
    parts = list(outline.segments)
    first = first_corner(parts, _one)
    if first is None:
        return _halves(parts[0])
    return merge_neighbours(parts[first:] + parts[:first], _one)


def _halves(part: Segment) -> list[Segment]:
    """Return the circle of an arc as two halves, however it was split before."""
    centre, radius = (part.centre, part.radius) if isinstance(part, Arc) else (part.start, 0.0)
    east, west = Point(centre.x + radius, centre.y), Point(centre.x - radius, centre.y)
    return [segment(east, west, 1.0), segment(west, east, 1.0)]


def _one(first: Segment, second: Segment) -> Segment | None:
    """Return two consecutive edges as one, or ``None`` if they are not on one line or circle."""
    bend = math.remainder(second.start_heading - first.end_heading, math.tau)
    if abs(bend) > _STRAIGHT:
        return None
    if isinstance(first, Line) and isinstance(second, Line):
        return Line(first.start, second.end)
    if not (isinstance(first, Arc) and isinstance(second, Arc)):
        return None
    sweep = first.sweep + second.sweep
    alike = first.sweep * second.sweep > 0.0 and abs(first.radius - second.radius) <= _SAME / 10.0
    if not alike or abs(sweep) > math.pi or distance(first.centre, second.centre) > _SAME / 10.0:
        return None
    return segment(first.start, second.end, math.tan(sweep / 4.0))


def _ring(parts: Sequence[Segment]) -> tuple[_Array, _Array, _Array]:
    """Return the edges' starts, middles and the directions of their chords, as complex numbers."""
    starts = np.array([complex(*part.start) for part in parts])
    middles = np.array([complex(*part.point_at(0.5)) for part in parts])
    # Along the chord, because an arc's heading does not determine its end.
    chords = np.array([complex(*part.end) for part in parts]) - starts
    return starts, middles, chords / np.abs(chords)


def _same_inside(one: Region, other: Region) -> bool:
    """Return whether holes and marks coincide."""
    return _same_paths(one.holes, other.holes) and all(
        _same_paths(_marks(one, kind), _marks(other, kind))
        for kind in {(mark.role, mark.operation) for mark in (*one.marks, *other.marks)}
    )


def _marks(region: Region, kind: tuple[str, str]) -> list[Chain | Outline]:
    return [
        mark.path
        for mark in region.marks
        if (mark.role, mark.operation) == kind and mark.role not in _WORDS
    ]


def _same_paths(some: Sequence[Chain | Outline], others: Sequence[Chain | Outline]) -> bool:
    """Return whether two sets of paths coincide, wherever each path begins."""
    if len(some) != len(others):
        return False
    one, two = list(_points(some)), list(_points(others))
    return _all_near(one, two) and _all_near(two, one)


def _points(paths: Sequence[Chain | Outline]) -> Iterator[Point]:
    for path in paths:
        for part in path.segments:
            yield from (part.point_at(share) for share in (0.0, 0.25, 0.5, 0.75, 1.0))


def _all_near(points: Sequence[Point], others: Sequence[Point]) -> bool:
    squares: dict[tuple[int, int], list[Point]] = {}
    for point in others:
        squares.setdefault(_square(point), []).append(point)
    steps = list(product((-1, 0, 1), repeat=2))
    return all(
        any(
            distance(point, near) <= _SAME
            for dx, dy in steps
            for near in squares.get((x + dx, y + dy), ())
        )
        for point in points
        for x, y in (_square(point),)
    )


def _square(point: Point) -> tuple[int, int]:
    return math.floor(point.x / _SAME), math.floor(point.y / _SAME)
