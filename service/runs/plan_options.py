"""What a run asks of the tool paths of its loads."""

from __future__ import annotations

from geometry.toolpath.options import PlanOptions
from geometry.toolpath.route import BEST, NORMAL, QUICK, Search
from service.requests.runs import Run


def plan_options(run: Run, loading: str = "") -> PlanOptions:
    """Return the options of a run; ``loading`` tells how to lay its material."""
    return PlanOptions(
        common_line=run.common_line,
        ties=run.ties,
        max_mismatch_deg=run.max_mismatch_deg,
        material=run.material.name,
        material_kind=run.material.kind,
        loading=loading,
        search=_search(run.effort),
    )


def _search(effort: str | float) -> Search:
    """Return how hard to look for short ways."""
    if isinstance(effort, str):
        return {"quick": QUICK, "normal": NORMAL}.get(effort, BEST)
    return BEST
