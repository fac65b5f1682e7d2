"""What the run sheet says of the whole kit: its sums, and the cautions for its tools."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.answers.kits import CutKitAnswer
from service.documents.cautions import cautions
from service.documents.model import SheetRun
from service.kits.run_warnings import named_runs
from service.pieces.model import Kit
from service.runs.planned_run import PlannedRun
from service.texts import gettext as _
from service.tools import kind_of
from service.tools.figures import long_length


def _line_words(planned: Sequence[PlannedRun]) -> str:
    """Return what the length of all lines is called: some may be drawn, not cut."""
    strokes = (
        stroke for run in planned for load in run.loads for stroke in load.planned.plan.strokes
    )
    is_drawn = any(stroke.operation == "mark" for stroke in strokes)
    return _("Length of lines, cut and drawn") if is_drawn else _("Cut length")


def office_length(kit: Kit, planned: Sequence[PlannedRun], mm: float) -> Iterator[tuple[str, str]]:
    """Yield how long all lines are, for the office; a die moves along none."""
    if not all(kind_of(each.run.cutter.tool).is_pressed for each in planned):
        yield _line_words(planned), long_length(mm, kit.units)


def sheet_totals(
    kit: Kit, runs: Sequence[SheetRun], answer: CutKitAnswer
) -> Iterator[tuple[str, str]]:
    """Yield the sums of what the sheet says of each load, as often as it is cut."""
    if kit.copies > 1:
        yield _("Copies"), str(kit.copies)
    yield _("Loads"), str(answer.totals.loads)
    steps = sum(len(load.stops) * load.repeats for run in runs for load in run.loads)
    yield _("Steps at the machine"), str(steps)
    words = (
        _("about {time}; of a die only pressing counts, not laying and snipping")
        if any(run.is_pressed for run in runs)
        else _("about {time}, without preparing and sorting")
    )
    yield _("Time"), words.format(time=answer.totals.estimated)


def run_cautions(kit: Kit, texts: Sequence[str]) -> Iterator[str]:
    """Yield the cautions; those that are not of all runs begin with which they are about."""
    of_run = {run.number: cautions(kind_of(run.cutter.tool), run.material.kind) for run in kit.runs}
    for text in texts:
        runs = [number for number, own in of_run.items() if text in own]
        if len(runs) == len(of_run):
            yield _(text)
        else:
            yield _("{runs}: {warning}", runs=named_runs(runs), warning=_(text))


def label_notes(kit: Kit) -> Iterator[str]:
    """Yield what the code on the labels is for, if there are labels."""
    if "labels" in kit.documents:
        yield _(
            "The square code on each label leads back to this kit, for pieces that have to be cut "
            "again."
        )
