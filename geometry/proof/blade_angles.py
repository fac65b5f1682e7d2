"""Proves the angles of a hand-set blade: its own ones, set by stops, and along what is cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry.model.cutter import IndexedBlade
from geometry.model.plan import CutPlan, Stroke
from geometry.proof.frames import counts_of, vertices_of

#: Rounding of a blade's angles, degrees, and of its mismatch, rad.
_SAME_ANGLE = 1.0e-6


def angle_faults(plan: CutPlan, blade: IndexedBlade, max_mismatch: float) -> Iterator[str]:
    """Yield where a hand-set blade stands at a wrong angle.

    Args:
        plan: of a load.
        blade: the tool.
        max_mismatch: largest angle between the blade and what it cuts, rad.
    """
    stops = sorted(plan.stops, key=lambda stop: stop.before_stroke)
    at, now, station = 0, None, None
    limit = max_mismatch + _SAME_ANGLE
    worst = mismatches(plan.strokes).tolist()
    known: dict[float, bool] = {}
    for number, stroke in enumerate(plan.strokes):
        while at < len(stops) and stops[at].before_stroke <= number:
            if stops[at].angle_deg is not None:
                now, station = stops[at].angle_deg, stops[at].station
            at += 1
        if stroke.operation == "mark":
            continue
        angle = stroke.angle_deg
        if angle is not None and angle not in known:
            known[angle] = any(abs(angle - each) <= _SAME_ANGLE for each in blade.positions_deg)
        if angle is None or not known[angle]:
            yield f"stroke {number} is cut at an angle that the blade cannot be set to"
        elif angle != now or stroke.station != station:
            yield f"before stroke {number} no stop sets the blade to {angle:g} degrees"
        elif worst[number] > limit:
            yield f"stroke {number} is cut across the blade"


def mismatches(strokes: Sequence[Stroke]) -> NDArray[np.float64]:
    """Return the largest angle between each stroke and the angle at which it is cut, rad.

    It is measured along lines, and at the ends and in the middle of arcs; 0 where there is no
    angle.
    """
    rows = vertices_of(strokes)
    counts = counts_of(strokes)
    ends = np.cumsum(counts)
    after = np.arange(1, len(rows) + 1)
    after[ends - 1] = ends - counts
    way = rows[after, :2] - rows[:, :2]
    chord = np.arctan2(way[:, 1], way[:, 0])
    half = 2.0 * np.arctan(rows[:, 2])
    angles = np.radians([each.angle_deg or 0.0 for each in strokes])
    off = np.repeat(angles, counts) - chord
    # The blade has no front: half a turn is none.
    each_off = [np.abs(d - np.pi * np.round(d / np.pi)) for d in (off - half, off, off + half)]
    worst = np.maximum(np.maximum(each_off[0], each_off[1]), each_off[2])
    # An open stroke has nothing after its last vertex.
    worst[ends[[not each.closed for each in strokes]] - 1] = 0.0
    found: NDArray[np.float64] = np.maximum.reduceat(worst, ends - counts)
    return found
