"""Cut plans of loads that this process made last."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import fields

from geometry.model.cutter import Cutter, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.toolpath.options import PlanOptions
from geometry.toolpath.plan import Planned
from service.texts import chosen_catalogue
from service.tools.recent_answers import RecentAnswers

#: Plans that are kept, and the most vertices of one of them: about 1 kB each.
_MAX_PLANS, _MAX_VERTICES = 32, 1_500
#: What the plan of a load does not depend on.
_NOT_ASKED = {"name", "title", "formats"}
_OF_CUTTER = tuple(each.name for each in fields(Cutter) if each.name not in _NOT_ASKED)


def plan_question(
    load: Load,
    pieces: Mapping[str, Region],
    cutter: Cutter,
    area: WorkArea,
    reach: WorkArea,
    options: PlanOptions,
) -> Hashable:
    """Return all that the plan of a load depends on, besides the angle that a blade is left at."""
    return (
        load.placements,
        tuple(pieces.items()),
        *(getattr(cutter, name) for name in _OF_CUTTER),
        area,
        reach,
        options,
        # A plan's warnings are in a language.
        chosen_catalogue(),
    )


def is_kept(planned: Planned) -> bool:
    """Return whether a plan is small enough to be kept."""
    return sum(len(stroke.vertices) for stroke in planned.plan.strokes) <= _MAX_VERTICES


#: Answers to ``plan_question``, with the angle that a blade is left at.
PLANS: RecentAnswers[Planned] = RecentAnswers(_MAX_PLANS, is_kept)
