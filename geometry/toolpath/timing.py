"""Estimated time of a load: drawn length, travel and the operator's stops.

Accelerations are ignored, so short strokes take longer on a real machine.
"""

from __future__ import annotations

from geometry.model.cutter import Cutter
from geometry.model.plan import CutPlan


def moving_s(plan: CutPlan, travel: float, cutter: Cutter) -> float:
    """Return the time for one load, s, from the cutter's speeds and its time per stop."""
    one_pass = plan.cut_length / cutter.speed + travel / cutter.travel_speed
    return cutter.passes * one_pass + stops_s(plan, cutter)


def stops_s(plan: CutPlan, cutter: Cutter) -> float:
    """Return the time of a load's stops, s."""
    return len(plan.stops) * cutter.stop_s
