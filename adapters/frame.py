"""A warning where the raised tool crosses the frame of a bed's opening.

The tool travels from the machine's 0,0 to the first cut, and perhaps back. Where the opening is not
a plain rectangle, a part of the frame may lie in its way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from adapters.axes import origin_on_bed
from adapters.crossings import end_of, is_within, ring_of
from geometry.model.plan import CutPlan
from geometry.model.points import Point
from geometry.sentences import said

#: Number of places of a way that are checked.
_CHECKED = 100


def crosses_frame(plan: CutPlan, values: Mapping[str, Any]) -> bool:
    """Return whether the way from 0,0 to the first cut, or back, leaves an opening of odd shape.

    Across a plain rectangular opening no way leads over the frame.

    Args:
        plan: in the axes of the bed.
        values: the settings of the axes.
    """
    area = plan.work_area
    if area.is_rectangle or area.open_right or not plan.strokes:
        return False
    home = origin_on_bed(plan, values)
    first, last = plan.strokes[0].vertices[0].point, end_of(plan.strokes[-1])
    opening, keep_outs = ring_of(area.boundary), [ring_of(each) for each in area.keep_outs]
    return any(
        not is_within(opening, place) or any(is_within(each, place) for each in keep_outs)
        for tip in (first, last)
        for place in _between(home, tip)
    )


def frame_notice(*, lift: str = "", is_home: bool) -> str:
    """Return the sentence for the operator of a machine whose tool crosses the frame.

    Args:
        lift: the height at which it travels, with its unit, where the file states one.
        is_home: whether the tool stops at 0,0 after the last cut.
    """
    end = (
        said("It comes back the same way")
        if is_home
        else said("The file does not take it back: it stops above the last cut")
    )
    if lift:
        return said(
            "The raised tool crosses the frame of the opening between the machine's 0,0 and the "
            "first cut. Make sure that it passes above the frame (it travels at {lift}), or lift "
            "it over by hand first. {end}.",
            lift=lift,
            end=end,
        )
    return said(
        "The raised tool crosses the frame of the opening between the machine's 0,0 and the first "
        "cut. Make sure that it passes above the frame, or lift it over by hand first. {end}.",
        end=end,
    )


def _between(home: Point, tip: Point) -> Iterator[Point]:
    """Yield places of a way, without its ends."""
    for number in range(1, _CHECKED):
        share = number / _CHECKED
        yield Point(home.x + (tip.x - home.x) * share, home.y + (tip.y - home.y) * share)
