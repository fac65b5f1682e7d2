"""How long a load takes: drawn length, ways between, and the operator's stops.

Accelerations are ignored, so short strokes take longer on a real machine than is said here.
"""

from __future__ import annotations

from geometry.model.cutter import Cutter
from geometry.model.plan import CutPlan


def estimated_s(plan: CutPlan, travel: float, cutter: Cutter) -> float:
    """Return the time for one load, s, from the cutter's speeds and the time of one stop."""
    return (
        plan.cut_length / cutter.speed
        + travel / cutter.travel_speed
        + len(plan.stops) * cutter.stop_s
    )
