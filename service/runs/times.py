"""What the times of an answer are calculated from."""

from __future__ import annotations

from collections.abc import Sequence
from math import isclose

from geometry.model.cutter import Cutter
from service.answers.runs import TimeBasisAnswer
from service.runs.notices import for_office
from service.texts import gettext as _
from service.tools import kind_of

#: How every time of the answer comes about.
TIME_NOTE = (
    "drawn length and travel at the cutter's speeds, what is cut by hand, and stops, each at its "
    "run's time_basis; accelerations are ignored, so many short strokes take longer"
)


def time_basis(cutter: Cutter) -> TimeBasisAnswer:
    """Return the numbers that a run's times are made from."""
    kind = kind_of(cutter.tool)
    # Nothing moves along the rules of a die: each press is one stop.
    return TimeBasisAnswer(
        speed_mm_s=None if kind.is_pressed else cutter.speed,
        travel_speed_mm_s=None if kind.is_pressed else cutter.travel_speed,
        stop_s=cutter.stop_s,
        passes=cutter.passes if cutter.passes > 1 else None,
        of_tool=kind.time_basis(cutter.tool),
    )


def speed_warnings(cutter: Cutter, formats: Sequence[str]) -> list[str]:
    """Say that a file states another speed than the one that times are calculated from."""
    feed = cutter.formats.get("gcode", {}).get("feed_mm_min")
    if "gcode" not in formats or feed is None or isclose(feed / 60.0, cutter.speed, rel_tol=0.02):
        return []
    notice = _(
        "The G-code cuts at {feed:g} mm/min, which is {rate:.3g} mm/s, but times count "
        "{speed:g} mm/s: state the cutter's speed as {rate:.3g} for times that hold.",
        feed=feed,
        rate=feed / 60.0,
        speed=cutter.speed,
    )
    return [for_office(notice)]
