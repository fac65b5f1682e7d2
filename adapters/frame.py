"""Ways of the raised tool over the frame of an opening, between the machine's 0,0 and the cuts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from adapters.axes import origin_on_bed
from adapters.split import chords
from geometry.model.outline import Outline
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.sentences import said

#: How many places of a way are looked at.
_LOOKS = 100
#: Chord height of rings, mm.
_CHORD = 0.05


def crosses_frame(plan: CutPlan, values: Mapping[str, Any]) -> bool:
    """Return whether the way from 0,0 to the first cut, or back, leaves an opening of odd shape.

    A plain rectangle has no frame within its own box.

    Args:
        plan: in the axes of the bed.
        values: the settings of the axes.
    """
    area = plan.work_area
    if area.is_rectangle or area.open_right or not plan.strokes:
        return False
    home = origin_on_bed(plan, values)
    first, last = plan.strokes[0].vertices[0].point, _end(plan)
    opening, keep_outs = _ring(area.boundary), [_ring(each) for each in area.keep_outs]
    return any(
        not _is_within(opening, place) or any(_is_within(each, place) for each in keep_outs)
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


def _end(plan: CutPlan) -> Point:
    stroke = plan.strokes[-1]
    return stroke.vertices[0 if stroke.closed else -1].point


def _between(home: Point, tip: Point) -> Iterator[Point]:
    """Yield places of a way, without its ends."""
    for number in range(1, _LOOKS):
        share = number / _LOOKS
        yield Point(home.x + (tip.x - home.x) * share, home.y + (tip.y - home.y) * share)


def _ring(outline: Outline) -> list[Point]:
    return list(chords(Stroke("cut", outline.vertices, closed=True), _CHORD))


def _is_within(ring: Sequence[Point], place: Point) -> bool:
    """Return whether a place is within a ring, by the sides that a ray to the right meets."""
    crossed = 0
    for a, b in pairwise([*ring, ring[0]]):
        if (a.y > place.y) != (b.y > place.y):
            share = (place.y - a.y) / (b.y - a.y)
            crossed += a.x + share * (b.x - a.x) > place.x
    return crossed % 2 == 1
