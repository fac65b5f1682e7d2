"""What a file holds that is otherwise set at the machine, in words for the bench."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from adapters import registry
from adapters.contract import resolved
from service.requests.runs import Run
from service.runs.planned_run import PlannedRun
from service.texts import gettext as _

_GCODE = "gcode"
#: What G-code does not hold of a tool's settings.
_AT_THE_MACHINE = frozenset({"Passes"})


def are_in_file(run: Run) -> bool:
    """Return whether all files of a run hold power or depth, and feed."""
    return tuple(run.formats) == (_GCODE,)


def set_at_machine(run: Run, names: tuple[str, ...]) -> tuple[str, ...]:
    """Return which of a tool's settings somebody sets at the machine."""
    return tuple(name for name in names if not are_in_file(run) or name in _AT_THE_MACHINE)


def file_settings(planned: PlannedRun) -> Iterator[tuple[str, str]]:
    """Yield the power or depth, and the feed, that a run's G-code states."""
    run = planned.run
    if _GCODE not in run.formats:
        return
    values = resolved(registry.get(_GCODE).settings, run.cutter.formats.get(_GCODE, {}), _GCODE)
    strokes = (stroke for load in planned.loads for stroke in load.planned.plan.strokes)
    drawn = any(stroke.operation != "cut" for stroke in strokes)
    again = _("If the test needs others, write them here ______ and have the files made again.")
    words = (
        _laser(values, drawn=drawn) if values["head"] == "laser" else _knife(values, drawn=drawn)
    )
    yield _("In the G-code"), f"{words}. {again}"


def _laser(values: Mapping[str, Any], *, drawn: bool) -> str:
    words = _(
        "{word} S{power:g}, feed {feed:g} mm/min",
        word=values["power_word"],
        power=values["power"],
        feed=values["feed_mm_min"],
    )
    if not drawn:
        return words
    return _(
        "{cuts}; lines, letters and arrows S{power:g}, which must only colour the surface",
        cuts=words,
        power=values["score_power"],
    )


def _knife(values: Mapping[str, Any], *, drawn: bool) -> str:
    words = _(
        "cuts to z {depth:g} mm, feed {feed:g} mm/min",
        depth=values["depth_mm"],
        feed=values["feed_mm_min"],
    )
    if not drawn:
        return words
    return _(
        "{cuts}; what is not cut to z {depth:g} mm", cuts=words, depth=values["score_depth_mm"]
    )
