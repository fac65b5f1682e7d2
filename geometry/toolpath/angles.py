"""The choice of a hand-set blade's angles for a load, and of the pieces' turns.

The mismatch of an edge is the angle between it and the blade. A stab of width w with mismatch d
leaves teeth of w sin(d) on the edge: its roughness. The choice has the fewest blade angles, and of
those the smallest roughness. No mismatch exceeds the stated maximum.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.model.cutter import IndexedBlade
from geometry.model.outline import Outline
from geometry.model.segments import Arc, Segment
from geometry.toolpath.arc_mismatch import ArcHeadings, sweeps, worst_along

#: Up to this many blade angles every subset is tried; above it, all are used.
_TRIED = 10
#: Directions closer than this, rad, are equal; also the tolerance of the mismatch's limit.
_SAME = 1.0e-6
#: Default maximum mismatch, rad. Four blade angles can cut a hexagon with this one (derived).
USUAL_MISMATCH = math.radians(15.0)
#: Maximum mismatches, degrees, that are tried next where the pieces cannot keep the default.
_NEXT = (18.0, 20.0)
#: Number of directions considered for an arc, including both ends.
_ALONG = 17


@dataclass(frozen=True)
class Chosen:
    """A choice: the blade angles, and for each piece the turns to lie in, degrees."""

    angles_deg: tuple[float, ...]
    turns_deg: Mapping[str, tuple[float, ...]]
    roughness: float


def worst_mismatch(blade: IndexedBlade) -> float:
    """Return the maximum angle, rad, from any direction to its nearest blade angle.

    Source:
        Half the widest gap between neighbours; 90 / n degrees for n even ones (derived).
    """
    angles = sorted({angle % 180.0 for angle in blade.positions_deg})
    gaps = [b - a for a, b in itertools.pairwise([*angles, angles[0] + 180.0])]
    return math.radians(max(gaps)) / 2.0


def directions(parts: Sequence[Segment]) -> dict[float, float]:
    """Return the directions of lines and arcs, rad in [0, pi), with the cut length in each."""
    found: dict[float, float] = {}
    for part in parts:
        if isinstance(part, Arc):
            seen = [part.heading_at(step / (_ALONG - 1)) for step in range(_ALONG)]
        else:
            seen = [part.start_heading]
        for direction in seen:
            key = round(direction % math.pi, 9) % math.pi
            found[key] = found.get(key, 0.0) + part.length / len(seen)
    return found


def off(angle: float, direction: float) -> float:
    """Return the angle between a blade and a direction, rad, both rad."""
    return abs(math.remainder(angle - direction, math.pi))


def needed_angles(
    blade: IndexedBlade, parts: Sequence[Segment], max_mismatch: float | None = None
) -> tuple[float, ...]:
    """Return the fewest blade angles, degrees, that can make all cuts.

    Of several such sets, the one with the smallest roughness.

    Args:
        blade: its angles.
        parts: what is cut.
        max_mismatch: rad, ``USUAL_MISMATCH`` by default. If some edge is farther than this from
            every blade angle, that edge's mismatch is the maximum instead.
    """
    wanted = directions(parts)
    angles = [math.radians(angle) for angle in blade.positions_deg]
    forced = max((min(off(a, direction) for a in angles) for direction in wanted), default=0.0)
    arcs = () if max_mismatch is None else sweeps(parts)
    forced = max(forced, worst_along(angles, arcs, 0.0))
    limit = max(USUAL_MISMATCH if max_mismatch is None else max_mismatch, forced) + _SAME
    choices = _choices(blade)
    for size in range(1, len(blade.positions_deg) + 1):
        fitting = [
            (round(roughness, 6), subset)
            for subset in choices.get(size, ())
            if (roughness := _roughness(subset, wanted, limit)) is not None
            and worst_along([math.radians(angle) for angle in subset], arcs, 0.0) <= limit
        ]
        if fitting:
            return min(fitting)[1]
    return tuple(sorted(blade.positions_deg))


def _choices(blade: IndexedBlade) -> dict[int, list[tuple[float, ...]]]:
    angles = sorted(set(blade.positions_deg))
    if len(angles) > _TRIED:
        return {len(angles): [tuple(angles)]}
    return {size: list(itertools.combinations(angles, size)) for size in range(1, len(angles) + 1)}


def _roughness(
    subset: tuple[float, ...], wanted: Mapping[float, float], limit: float
) -> float | None:
    """Return the area of the teeth per blade width, or ``None`` above the limit."""
    angles = [math.radians(angle) for angle in subset]
    total = 0.0
    for direction, length in wanted.items():
        nearest = min(off(angle, direction) for angle in angles)
        if nearest > limit:
            return None
        total += length * math.sin(nearest)
    return total


@dataclass(frozen=True)
class TurnChoices:
    """The ways in which pieces may lie under a hand-set blade.

    Attributes:
        smoothest: the fewest angles with the smallest roughness; several choices if they are
            equally good. Never empty.
        rougher: first one with all angles, with the smoothest turns of each piece; then those with
            all turns within the maximum mismatch, of as few angles and of all. Use them only where
            they save a load.
    """

    smoothest: tuple[Chosen, ...]
    rougher: tuple[Chosen, ...] = ()


def best_turns(
    outlines: Mapping[str, Outline],
    blade: IndexedBlade,
    allowed_deg: Mapping[str, Sequence[float] | None],
    max_mismatch: float | None = None,
) -> Chosen:
    """Choose the pieces' turns and the blade's angles together, for use by a layout.

    Shape:
        The fewest angles for all pieces together, then the smallest roughness. For each piece, all
        turns that are equally good.

    Args:
        outlines: by piece.
        blade: its angles.
        allowed_deg: the allowed turns of a piece; ``None`` for any.
        max_mismatch: rad; by default ``USUAL_MISMATCH``, or the next larger value that is
            possible. If a stated value is too small, the choice has all angles, every turn and
            infinite roughness.
    """
    return turn_choices(outlines, blade, allowed_deg, max_mismatch).smoothest[0]


def turn_choices(
    outlines: Mapping[str, Outline],
    blade: IndexedBlade,
    allowed_deg: Mapping[str, Sequence[float] | None],
    max_mismatch: float | None = None,
) -> TurnChoices:
    """Return all choices that a layout may use; the arguments are those of ``best_turns``."""
    wanted = {piece: directions(outline.segments) for piece, outline in outlines.items()}
    usual = [USUAL_MISMATCH, *map(math.radians, _NEXT), worst_mismatch(blade)]
    every = tuple(sorted(set(blade.positions_deg)))
    # A stated maximum holds along all of an arc; the default is a choice among directions of it.
    arcs = {} if max_mismatch is None else {p: sweeps(o.segments) for p, o in outlines.items()}
    turns: dict[str, Sequence[float]] = {}
    for limit in usual if max_mismatch is None else [max_mismatch]:
        turns = {
            piece: _turns(found, blade, allowed_deg.get(piece), limit)
            for piece, found in wanted.items()
        }
        for subsets in _choices(blade).values():
            smoothest = _choices_for_each(subsets, wanted, arcs, turns, limit)
            if smoothest:
                least = round(smoothest[0].roughness, 6)
                ties = [each for each in smoothest if round(each.roughness, 6) == least]
                wider = dict.fromkeys([*subsets, every])
                # More angles let each piece lie as smoothly in more ways: a mirror image as its
                # original, seen in the mirror.
                rougher = [
                    *_choices_for_each([every], wanted, arcs, turns, limit),
                    *_choices_for_each([*wider], wanted, arcs, turns, limit, every_turn=True),
                ]
                tried = [each.turns_deg for each in ties]
                return TurnChoices(
                    tuple(ties), tuple(each for each in rougher if each.turns_deg not in tried)
                )
    return TurnChoices(
        (Chosen(every, {piece: tuple(each) for piece, each in turns.items()}, math.inf),)
    )


def min_mismatch_deg(
    outlines: Mapping[str, Outline],
    blade: IndexedBlade,
    allowed_deg: Mapping[str, Sequence[float] | None],
) -> int:
    """Return the smallest whole number of degrees that all pieces can have as maximum mismatch."""
    low, high = 0, 90
    while low < high:
        middle = (low + high) // 2
        found = best_turns(outlines, blade, allowed_deg, math.radians(middle))
        low, high = (middle + 1, high) if math.isinf(found.roughness) else (low, middle)
    return high


def _choices_for_each(
    subsets: Sequence[tuple[float, ...]],
    wanted: Mapping[str, Mapping[float, float]],
    arcs: Mapping[str, Sequence[ArcHeadings]],
    turns: Mapping[str, Sequence[float]],
    limit: float,
    *,
    every_turn: bool = False,
) -> list[Chosen]:
    """Return a choice for each set of angles that has one; fewest angles first, then smoothest."""
    found = [
        _choice_for(subset, wanted, arcs, turns, limit, every_turn=every_turn) for subset in subsets
    ]
    return sorted(
        (each for each in found if each is not None),
        key=lambda each: (len(each.angles_deg), round(each.roughness, 6), each.angles_deg),
    )


def _turns(
    wanted: Mapping[float, float],
    blade: IndexedBlade,
    allowed: Sequence[float] | None,
    limit: float,
) -> list[float]:
    """Return the turns to try: an edge lies at a blade angle, or at the limit from one."""
    if allowed is not None:
        return sorted({turn % 360.0 for turn in allowed})
    found = set()
    for direction in wanted:
        for angle in blade.positions_deg:
            for slant in (0.0, limit, -limit):
                turn = angle - math.degrees(direction + slant)
                found.add(round(turn % 180.0, 6) % 180.0)
    return sorted({*found, *(turn + 180.0 for turn in found)})


def _choice_for(
    subset: tuple[float, ...],
    wanted: Mapping[str, Mapping[float, float]],
    arcs: Mapping[str, Sequence[ArcHeadings]],
    turns: Mapping[str, Sequence[float]],
    limit: float,
    *,
    every_turn: bool = False,
) -> Chosen | None:
    """Return each piece's best turns for a set of angles, or all its turns within the limit."""
    best: dict[str, tuple[float, ...]] = {}
    total = 0.0
    angles = [math.radians(angle) for angle in subset]
    for piece, found in wanted.items():
        roughness = {}
        for turn in turns[piece]:
            if worst_along(angles, arcs.get(piece, ()), math.radians(turn)) > limit + _SAME:
                continue
            turned = {d + math.radians(turn): length for d, length in found.items()}
            value = _roughness(subset, turned, limit + _SAME)
            if value is not None:
                roughness[turn] = round(value, 5)
        if not roughness:
            return None
        least = min(roughness.values())
        most = math.inf if every_turn else least
        best[piece] = tuple(turn for turn, value in roughness.items() if value <= most)
        total += least
    return Chosen(subset, best, total)
