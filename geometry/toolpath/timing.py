"""Estimated time of a load: drawn length, travel and the operator's stops.

Accelerations are ignored, so short strokes take longer on a real machine.
"""

from __future__ import annotations

from geometry.model.cutter import Cutter, Pen, SteelRuleDie
from geometry.model.plan import CutPlan


def estimated_s(plan: CutPlan, travel: float, cutter: Cutter) -> float:
    """Return the time for one load, s, from the cutter's speeds and its time per stop.

    For a pen, most of the time is the operator's cutting by hand.
    """
    if isinstance(cutter.tool, SteelRuleDie):
        # A press closes on all rules at once: nothing moves along them.
        return len(plan.stops) * cutter.stop_s
    by_hand = 0.0
    if isinstance(cutter.tool, Pen):
        drawn = sum(each.length for each in plan.strokes if each.operation == "cut")
        by_hand = drawn / cutter.tool.hand_speed
    return (
        plan.cut_length / cutter.speed
        + travel / cutter.travel_speed
        + by_hand
        + len(plan.stops) * cutter.stop_s
    )
