"""The parts of a load that are files of their own, for machines that cannot stop inside a file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from adapters import registry
from geometry.model.plan import CutPlan, Stroke
from service.requests.runs import Run

#: The part that is drawn before the blade is fitted.
PEN = "pen"


def parts(run: Run, plan: CutPlan, format_name: str) -> Iterator[tuple[str, CutPlan]]:
    """Yield the parts of a load in working order, each with its word in the file's name.

    Args:
        run: may say whether there is one file per load or per station.
        plan: of the load.
        format_name: of the files. If the run does not say it, a format that cannot stop the machine
            has one file per station, so that nobody has to count strokes.

    Yields:
        The whole plan with an empty word; or the pen's strokes (``pen``) and those of each setting
        of the tool (``station-1``), between which the operator works on the machine.
    """
    words = [_part_of(plan, stroke) for stroke in plan.strokes]
    found = list(dict.fromkeys(words))
    if len(found) < 2 or not _is_apart(run, format_name):  # noqa: PLR2004 - one is the whole
        yield "", plan
        return
    for part in found:
        kept = [at for at, word in enumerate(words) if word == part]
        place = {old: new for new, old in enumerate(kept)}
        if part == found[-1]:
            # What is to be done after the last stroke of all.
            place[len(plan.strokes)] = len(kept)
        stops = tuple(
            replace(stop, before_stroke=place[stop.before_stroke])
            for stop in plan.stops
            if stop.before_stroke in place
        )
        yield part, replace(plan, strokes=tuple(plan.strokes[at] for at in kept), stops=stops)


def part_at(plan: CutPlan, at: int) -> str:
    """Return the part of a load that the stroke with an index belongs to."""
    return _part_of(plan, plan.strokes[at])


def _is_apart(run: Run, format_name: str) -> bool:
    """Return whether the stations of a run's loads have files of their own in a format."""
    if run.one_file_per is None:
        return "stops" not in registry.get(format_name).supports
    return run.one_file_per == "station"


def _part_of(plan: CutPlan, stroke: Stroke) -> str:
    """Return the part of a load that a stroke belongs to."""
    changes = any(stop.reason == "change-tool" for stop in plan.stops)
    return PEN if changes and stroke.operation == "mark" else f"station-{stroke.station}"
