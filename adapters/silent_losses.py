"""Losses that a format does not report: one rule for the service and the conformance kit."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence

from adapters.readers.strokes import ReadStroke
from adapters.stroke_faults import has_arc, stroke_name
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import distance
from geometry.model.segments import Arc

_ARC, _STOP = (re.compile(rf"\b{word}", re.IGNORECASE) for word in ("arc", "stop"))
#: Height of an arc above its chord, mm, from which it must be held; a flatter one may be a line.
_BENT = 0.1


def has_inner_stops(plan: CutPlan) -> bool:
    """Return whether the machine has to wait between two strokes of a plan."""
    return any(0 < stop.before_stroke < len(plan.strokes) for stop in plan.stops)


def silent_loss(
    supports: Collection[str],
    plan: CutPlan,
    losses: Iterable[str],
    strokes: Sequence[ReadStroke] | None = None,
    *,
    allowed: float = 0.0,
) -> str:
    """Return what a file lacks of its plan without reporting it as a loss; empty if nothing.

    Args:
        supports: what the format says that it holds.
        plan: from which the file was written.
        losses: the sentences that its adapter returned.
        strokes: those of the file, in the plan's order; ``None`` if nothing can read it.
        allowed: deviation of the file from the plan, mm.
    """
    said = " ".join(losses)
    if "stops" not in supports and has_inner_stops(plan) and not _STOP.search(said):
        return 'holds no stops, and none of its losses is a sentence with "stop"'
    if _ARC.search(said):
        return ""
    bent = max(_BENT, 2.0 * allowed)
    for number, stroke in enumerate(plan.strokes):
        if not _is_bent(stroke, bent):
            continue
        if "arcs" not in supports:
            return 'holds no arcs, and none of its losses is a sentence with "arc"'
        if strokes is not None and not has_arc(strokes[number]):
            name = stroke_name(number, plan)
            return f'has chords for the arcs of {name}, and no loss is a sentence with "arc"'
    return ""


def _is_bent(stroke: Stroke, by: float) -> bool:
    """Return whether a stroke has an arc that is this far off its chord, mm."""
    return any(
        isinstance(part, Arc) and abs(part.bulge) * distance(part.start, part.end) / 2.0 > by
        for part in stroke.segments
    )
