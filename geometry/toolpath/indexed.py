"""A blade set by hand: which stretch is cut at which of its angles."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from geometry.model.cutter import IndexedBlade
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.segments import Arc, Segment


def nearest_position(blade: IndexedBlade, direction: float) -> float:
    """Return the blade angle, degrees, nearest to a direction (rad); the lower one at a tie."""
    return min(blade.positions_deg, key=lambda angle: (round(mismatch(angle, direction), 9), angle))


def mismatch(angle_deg: float, direction: float) -> float:
    """Return the angle between the blade and a direction, rad, from 0 to pi / 2."""
    return abs(math.remainder(math.radians(angle_deg) - direction, math.pi))


def split_by_angle(blade: IndexedBlade, strokes: Sequence[Stroke]) -> list[Stroke]:
    """Return open strokes, each all at one blade angle, set as ``angle_deg``.

    Shape:
        Stretches in the order of the strokes they come from; neighbouring stretches of one
        angle stay together, over a closed stroke's start too.
    """
    found: list[Stroke] = []
    for stroke in strokes:
        if stroke.operation == "mark":
            found.append(stroke)
            continue
        stretches = _joined(list(_stretches(blade, stroke)), closed=stroke.closed)
        for angle, parts in stretches:
            vertices = (
                *(Vertex(*part.start, part.bulge) for part in parts),
                Vertex(*parts[-1].end),
            )
            found.append(replace(stroke, vertices=vertices, closed=False, angle_deg=angle))
    return found


def _stretches(blade: IndexedBlade, stroke: Stroke) -> Iterator[tuple[float, Segment]]:
    for part in stroke.segments:
        if isinstance(part, Arc):
            yield from _arc_stretches(blade, part)
        else:
            yield nearest_position(blade, part.start_heading), part


def _arc_stretches(blade: IndexedBlade, arc: Arc) -> Iterator[tuple[float, Segment]]:
    """Cut an arc where its direction passes half-way between two blade angles."""
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
    """Put neighbouring stretches of one angle together."""
    runs: list[tuple[float, list[Segment]]] = []
    for angle, part in stretches:
        if runs and runs[-1][0] == angle:
            runs[-1][1].append(part)
        else:
            runs.append((angle, [part]))
    if closed and len(runs) > 1 and runs[0][0] == runs[-1][0]:
        last = runs.pop()
        runs[0] = (last[0], last[1] + runs[0][1])
    return runs


def angle_order(angles: Sequence[float], entry: float | None) -> list[float]:
    """Return the order of a load's blade angles: the one the blade stands at first.

    From there upwards round, or downwards when that starts next door: either way each angle
    once, so a load of n angles turns the blade n - 1 times when the last one's is used again.
    """
    ordered = sorted(set(angles))
    if entry is None or entry not in ordered:
        return ordered
    at = ordered.index(entry)
    up = ordered[at:] + ordered[:at]
    down = ordered[: at + 1][::-1] + ordered[at + 1 :][::-1]
    # Standing at the highest angle, going down is one small turn each; up wraps at once.
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
