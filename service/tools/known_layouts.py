"""Layouts that this process found last and that no limit of time cut short."""

from __future__ import annotations

from collections.abc import Hashable

from geometry.layout import Layout
from service.tools.recent_answers import RecentAnswers

#: Layouts that are kept, and the most placements of one of them: about 1 kB each.
_MAX_LAYOUTS, _MAX_PLACEMENTS = 64, 500
_LAYOUTS: RecentAnswers[Layout] = RecentAnswers(_MAX_LAYOUTS)
known = _LAYOUTS.known


def keep(question: Hashable, layout: Layout) -> None:
    """Keep a layout among those used last, unless its search was cut short or it is large."""
    placements = sum(len(load.placements) for load in layout.loads)
    if layout.complete and placements <= _MAX_PLACEMENTS:
        _LAYOUTS.keep(question, layout)
