"""Hand-set blades: which stretch of an outline is cut at which blade angle."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.model.cutter import IndexedBlade
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.points import distance, turn_between
from geometry.model.segments import Arc, Segment
from geometry.tolerance import SAME_POINT, SMOOTH_TURN

#: A stretch too short for the blade gets one stab, at this share of its length.
_MIDDLE = 0.499


def nearest_position(blade: IndexedBlade, direction: float) -> float:
    """Return the blade angle, degrees, nearest to a direction (rad); at a tie the lower one."""
    return min(blade.positions_deg, key=lambda angle: (round(mismatch(angle, direction), 9), angle))


def mismatch(angle_deg: float, direction: float) -> float:
    """Return the angle between the blade and a direction, rad, from 0 to pi / 2."""
    return abs(math.remainder(math.radians(angle_deg) - direction, math.pi))


@dataclass(frozen=True)
class EdgeCut:
    """The cut of one kind of edge: its direction, blade angle and roughness.

    Units:
        degrees; ``edge_roughness`` is how far slits reach beyond the edge on either side, mm.
    """

    piece: str
    direction_deg: float
    angle_deg: float
    mismatch_deg: float
    edge_roughness: float


def split_by_angle(
    blade: IndexedBlade, strokes: Sequence[Stroke], *, shared: bool = False
) -> list[Stroke]:
    """Return open strokes, each at a single blade angle, set as ``angle_deg``.

    Shape:
        In the order of the original strokes; adjacent stretches of one angle stay together, also
        across a closed stroke's start. A stab reaches half the blade's width past the end of a
        stretch. At an outward corner of an outline this lies in waste. At a hollow corner, and at
        every corner of a hole, it would cut into the piece: there the stretch ends sooner.

    Args:
        blade: its angles, width and step.
        strokes: outlines, holes and marks.
        shared: whether pieces lie on both sides of every stroke; then all stretches end sooner.
    """
    found: list[Stroke] = []
    for stroke in strokes:
        if stroke.operation == "mark":
            found.append(stroke)
            continue
        stretches = _joined(list(_stretches(blade, stroke, shared=shared)), closed=stroke.closed)
        for angle, parts in stretches:
            vertices = (
                *(Vertex(*part.start, part.bulge) for part in parts),
                Vertex(*parts[-1].end),
            )
            found.append(replace(stroke, vertices=vertices, closed=False, angle_deg=angle))
    return found


def _stretches(
    blade: IndexedBlade, stroke: Stroke, *, shared: bool
) -> Iterator[tuple[float, Segment]]:
    parts = stroke.segments
    for index, part in enumerate(parts):
        before = parts[index - 1] if index or stroke.closed else None
        after = parts[(index + 1) % len(parts)] if index + 1 < len(parts) or stroke.closed else None
        first, last = 0.0, 0.0
        if _must_end_sooner(before, part, stroke.part, shared=shared):
            first = _reach(blade, part.start_heading)
        if _must_end_sooner(part, after, stroke.part, shared=shared):
            last = _reach(blade, part.end_heading)
        low = min(first / part.length, _MIDDLE)
        high = max(1.0 - last / part.length, 1.0 - _MIDDLE)
        kept = part.between(low, high)
        if isinstance(kept, Arc):
            yield from _arc_stretches(blade, kept)
        else:
            yield nearest_position(blade, part.start_heading), kept


def _reach(blade: IndexedBlade, direction: float) -> float:
    """Return how far a stab reaches past its middle along an edge of a direction, mm."""
    angle = nearest_position(blade, direction)
    return blade.width / 2.0 * math.cos(mismatch(angle, direction))


def _must_end_sooner(
    before: Segment | None, after: Segment | None, kind: str, *, shared: bool
) -> bool:
    """Return whether a blade that extends beyond the joint of two edges would cut a piece."""
    if before is None or after is None:
        return shared
    turn = turn_between(before.end_heading, after.start_heading)
    if shared:
        return abs(turn) > SMOOTH_TURN
    return turn > SMOOTH_TURN if kind == "hole" else turn < -SMOOTH_TURN


def edge_cuts(blade: IndexedBlade, strokes: Sequence[Stroke]) -> tuple[EdgeCut, ...]:
    """Return the cut of each kind of edge, by piece, direction and angle."""
    found: dict[tuple[str, float, float], float] = {}
    for stroke in strokes:
        if stroke.angle_deg is None:
            continue
        for part in stroke.segments:
            ends = (part.start_heading, part.end_heading)
            worst = max(mismatch(stroke.angle_deg, each) for each in ends)
            direction = round(math.degrees(part.heading_at(0.5)) % 180.0, 3) % 180.0
            key = (stroke.piece, direction, stroke.angle_deg)
            found[key] = max(worst, found.get(key, 0.0))
    return tuple(
        EdgeCut(
            piece,
            direction,
            angle,
            round(math.degrees(worst), 3),
            blade.width / 2.0 * math.sin(worst),
        )
        for (piece, direction, angle), worst in sorted(found.items())
    )


def _arc_stretches(blade: IndexedBlade, arc: Arc) -> Iterator[tuple[float, Segment]]:
    """Split an arc where its direction is half-way between two blade angles."""
    first, sweep = arc.start_heading, arc.sweep
    angles = sorted(math.radians(angle) for angle in blade.positions_deg)
    halves = [
        (a + b) / 2.0 for a, b in zip(angles, [*angles[1:], angles[0] + math.pi], strict=True)
    ]
    cuts = {0.0, 1.0}
    for half in halves if len(angles) > 1 else []:
        for turn in range(-3, 4):
            share = (half + turn * math.pi - math.remainder(first, math.tau)) / sweep
            if 1e-9 < share < 1.0 - 1e-9:  # noqa: PLR2004 - no sliver at the ends
                cuts.add(share)
    ordered = sorted(cuts)
    for low, high in itertools.pairwise(ordered):
        middle = arc.heading_at((low + high) / 2.0)
        yield nearest_position(blade, middle), arc.between(low, high)


def _joined(
    stretches: list[tuple[float, Segment]], *, closed: bool
) -> list[tuple[float, list[Segment]]]:
    """Join adjacent stretches of one angle."""
    runs: list[tuple[float, list[Segment]]] = []
    for angle, part in stretches:
        if runs and runs[-1][0] == angle and _touch(runs[-1][1][-1], part):
            runs[-1][1].append(part)
        else:
            runs.append((angle, [part]))
    if closed and len(runs) > 1 and runs[0][0] == runs[-1][0]:
        last = runs.pop()
        if _touch(last[1][-1], runs[0][1][0]):
            runs[0] = (last[0], last[1] + runs[0][1])
        else:
            runs.append(last)
    return runs


def _touch(before: Segment, after: Segment) -> bool:
    return distance(before.end, after.start) < SAME_POINT


def angle_order(angles: Sequence[float], entry: float | None) -> list[float]:
    """Return the order of a load's blade angles, starting with the current one.

    From there upwards and round, or downwards if that starts with a neighbour. Each angle occurs
    once, so a load of n angles needs n - 1 turns if it starts with the last load's angle.
    """
    ordered = sorted(set(angles))
    if entry is None or entry not in ordered:
        return ordered
    at = ordered.index(entry)
    up = ordered[at:] + ordered[:at]
    down = ordered[: at + 1][::-1] + ordered[at + 1 :][::-1]
    # From the highest angle, the next lower one is a small turn, and the lowest one a large turn.
    return down if at == len(ordered) - 1 else up


def angle_words(angle_deg: float) -> str:
    """Return a blade angle in words and degrees."""
    angle = angle_deg % 180.0
    if angle == 0.0:
        lie = "level, along the bed"
    elif angle == 90.0:  # noqa: PLR2004 - upright
        lie = "upright, across the bed"
    elif angle < 90.0:  # noqa: PLR2004 - upright
        lie = "rising to the right"
    else:
        lie = "rising to the left"
    return f"{angle:g} degrees ({lie})"
