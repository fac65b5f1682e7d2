"""How long a load takes: drawn length, ways between, and the operator's stops.

Accelerations are ignored, so short strokes take longer on a real machine than is said here.
"""

from __future__ import annotations

from geometry.model.cutter import Cutter, Pen
from geometry.model.plan import CutPlan


def estimated_s(plan: CutPlan, travel: float, cutter: Cutter) -> float:
    """Return the time for one load, s, from the cutter's speeds and the time of one stop.

    What a pen draws the operator then cuts by hand, which takes most of the time.
    """
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
