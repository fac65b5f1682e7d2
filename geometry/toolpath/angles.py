"""Which of a set blade's angles a load needs, and how the pieces lie best for them.

Few blade turns come first, then smooth edges: a stab of width w at an angle d off its edge
leaves a saw of w sin(d). No edge is cut further off its angle than a stated greatest mismatch.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.model.cutter import IndexedBlade
from geometry.model.outline import Outline
from geometry.model.segments import Arc, Segment

#: Blade angles up to which every choice among them is tried; beyond it all stay in use.
_TRIED = 10
#: Directions, rad, nearer than this are one; slack when a mismatch is compared with its limit.
_SAME = 1.0e-6
#: Mismatch, rad, that is accepted for the sake of fewer turns when none is stated: what a hexagon
#: has at best with four angles (derived). Where pieces cannot have it, the next that they can.
USUAL_MISMATCH = math.radians(15.0)
_NEXT = (18.0, 20.0)
#: Directions at which an arc is looked at, both ends among them.
_ALONG = 17


@dataclass(frozen=True)
class Chosen:
    """The angles to cut at, and for each piece the turns, degrees, that suit them best."""

    angles_deg: tuple[float, ...]
    turns_deg: Mapping[str, tuple[float, ...]]
    roughness: float


def worst_mismatch(blade: IndexedBlade) -> float:
    """Return the greatest angle, rad, from a direction to its nearest blade angle.

    Source:
        Half the widest gap between neighbours; 90 / n degrees for n even ones (derived).
    """
    angles = sorted({angle % 180.0 for angle in blade.positions_deg})
    gaps = [b - a for a, b in itertools.pairwise([*angles, angles[0] + 180.0])]
    return math.radians(max(gaps)) / 2.0


def directions(parts: Sequence[Segment]) -> dict[float, float]:
    """Return the directions of lines and arcs, rad in [0, pi), with the length cut in each."""
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
    blade: IndexedBlade, parts: Sequence[Segment], greatest: float | None = None
) -> tuple[float, ...]:
    """Return the fewest blade angles, degrees, that cut everything; of equal sets the smoothest.

    Args:
        blade: its angles.
        parts: what is cut.
        greatest: mismatch allowed, rad, ``USUAL_MISMATCH`` by default; where an edge lies
            further off every angle, that is the limit.
    """
    wanted = directions(parts)
    angles = [math.radians(angle) for angle in blade.positions_deg]
    forced = max((min(off(a, direction) for a in angles) for direction in wanted), default=0.0)
    limit = max(USUAL_MISMATCH if greatest is None else greatest, forced) + _SAME
    choices = _choices(blade)
    for size in range(1, len(blade.positions_deg) + 1):
        fitting = [
            (round(rough, 6), subset)
            for subset in choices.get(size, ())
            if (rough := _rough(subset, wanted, limit)) is not None
        ]
        if fitting:
            return min(fitting)[1]
    return tuple(sorted(blade.positions_deg))


def _choices(blade: IndexedBlade) -> dict[int, list[tuple[float, ...]]]:
    angles = sorted(set(blade.positions_deg))
    if len(angles) > _TRIED:
        return {len(angles): [tuple(angles)]}
    return {size: list(itertools.combinations(angles, size)) for size in range(1, len(angles) + 1)}


def _rough(subset: tuple[float, ...], wanted: Mapping[float, float], limit: float) -> float | None:
    """Return the area of the saw left per blade width, or ``None`` past the limit."""
    angles = [math.radians(angle) for angle in subset]
    total = 0.0
    for direction, length in wanted.items():
        nearest = min(off(angle, direction) for angle in angles)
        if nearest > limit:
            return None
        total += length * math.sin(nearest)
    return total


def best_turns(
    outlines: Mapping[str, Outline],
    blade: IndexedBlade,
    allowed_deg: Mapping[str, Sequence[float] | None],
    greatest: float | None = None,
) -> Chosen:
    """Choose the pieces' turns and the blade's angles together, for a layout to keep to.

    Shape:
        The fewest angles over all pieces, then the least roughness. Of each piece all turns
        that are equally good.

    Args:
        outlines: by piece.
        blade: its angles.
        allowed_deg: the turns a piece may take; ``None`` when any will do.
        greatest: mismatch allowed, rad; by default ``USUAL_MISMATCH``, or the next larger that
            the pieces can have. Stated and too small: all angles, every turn, endless roughness.
    """
    wanted = {piece: directions(outline.segments) for piece, outline in outlines.items()}
    usual = [USUAL_MISMATCH, *map(math.radians, _NEXT), worst_mismatch(blade)]
    turns: dict[str, Sequence[float]] = {}
    for limit in usual if greatest is None else [greatest]:
        turns = {
            piece: _turns(found, blade, allowed_deg.get(piece), limit)
            for piece, found in wanted.items()
        }
        found = _fewest(wanted, turns, _choices(blade), limit)
        if found is not None:
            return found
    every = tuple(sorted(set(blade.positions_deg)))
    return Chosen(every, {piece: tuple(each) for piece, each in turns.items()}, math.inf)


def least_mismatch_deg(
    outlines: Mapping[str, Outline],
    blade: IndexedBlade,
    allowed_deg: Mapping[str, Sequence[float] | None],
) -> int:
    """Return the least greatest mismatch, whole degrees, that all pieces can keep."""
    low, high = 0, 90
    while low < high:
        middle = (low + high) // 2
        found = best_turns(outlines, blade, allowed_deg, math.radians(middle))
        low, high = (middle + 1, high) if math.isinf(found.roughness) else (low, middle)
    return high


def _fewest(
    wanted: Mapping[str, Mapping[float, float]],
    turns: Mapping[str, Sequence[float]],
    choices: Mapping[int, Sequence[tuple[float, ...]]],
    limit: float,
) -> Chosen | None:
    for size in sorted(choices):
        found = [
            chosen
            for subset in choices[size]
            if (chosen := _suiting(subset, wanted, turns, limit)) is not None
        ]
        if found:
            return min(found, key=lambda each: (round(each.roughness, 6), each.angles_deg))
    return None


def _turns(
    wanted: Mapping[float, float],
    blade: IndexedBlade,
    allowed: Sequence[float] | None,
    limit: float,
) -> list[float]:
    """Return the turns worth a try: an edge on an angle, or at the limit off one."""
    if allowed is not None:
        return sorted({turn % 360.0 for turn in allowed})
    found = set()
    for direction in wanted:
        for angle in blade.positions_deg:
            for slant in (0.0, limit, -limit):
                turn = angle - math.degrees(direction + slant)
                found.add(round(turn % 180.0, 6) % 180.0)
    return sorted({*found, *(turn + 180.0 for turn in found)})


def _suiting(
    subset: tuple[float, ...],
    wanted: Mapping[str, Mapping[float, float]],
    turns: Mapping[str, Sequence[float]],
    limit: float,
) -> Chosen | None:
    """Return the best turns for a set of angles; pieces do not depend on each other then."""
    best: dict[str, tuple[float, ...]] = {}
    total = 0.0
    for piece, found in wanted.items():
        rough = {}
        for turn in turns[piece]:
            turned = {d + math.radians(turn): length for d, length in found.items()}
            value = _rough(subset, turned, limit + _SAME)
            if value is not None:
                rough[turn] = round(value, 5)
        if not rough:
            return None
        least = min(rough.values())
        best[piece] = tuple(turn for turn, value in rough.items() if value == least)
        total += least
    return Chosen(subset, best, total)
