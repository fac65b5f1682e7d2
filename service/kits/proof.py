"""The last look at a kit before it is handed out: every load, part and file is there."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from geometry.errors import InternalError
from geometry.model.plan import CutPlan, Stop
from service.answers.loads import LoadAnswer, PreviewLoadAnswer
from service.runs.planned_run import PlannedRun


def require_all_strokes(plan: CutPlan, parts: Sequence[CutPlan]) -> None:
    """Raise an error unless the parts of a load hold each of its strokes and stops once.

    Raises:
        InternalError: for a stroke or a stop that is missing or there twice.
    """
    held = Counter(id(stroke) for part in parts for stroke in part.strokes)
    if held != Counter(id(stroke) for stroke in plan.strokes):
        raise InternalError(
            f"The files of a load hold {sum(held.values())} strokes; it has {len(plan.strokes)}"
        )
    stops = Counter(_without_place(stop) for part in parts for stop in part.stops)
    if stops != Counter(_without_place(stop) for stop in plan.stops):
        raise InternalError(
            f"The files of a load hold {sum(stops.values())} stops; it has {len(plan.stops)}"
        )


def _without_place(stop: Stop) -> Stop:
    """Return a stop without its place, which each part counts from its own start."""
    return replace(stop, before_stroke=0)


def require_all_files(
    planned: PlannedRun, rows: Sequence[PreviewLoadAnswer], files: Mapping[str, bytes]
) -> None:
    """Raise an error unless a run's answer lists each load and each file as it is.

    Raises:
        InternalError: for a load or file that is missing, listed twice, or another's.
    """
    run = planned.run
    if [row.number for row in rows] != [load.number for load in planned.loads]:
        raise InternalError(f"Run {run.number} has {len(planned.loads)} loads, not {len(rows)}")
    for load, row in zip(planned.loads, rows, strict=True):
        if dict(row.outlines) != dict(load.load.outlines) or row.repeats != load.load.repeats:
            raise InternalError(f"Run {run.number}, load {load.number} is listed wrongly")
        formats = {entry.format for entry in row.files} if isinstance(row, LoadAnswer) else set()
        if formats != set(run.formats):
            raise InternalError(f"Load {load.number} of run {run.number} lacks a format")
    entries = [entry for row in rows if isinstance(row, LoadAnswer) for entry in row.files]
    if len({entry.name for entry in entries}) != len(entries):
        raise InternalError(f"Two files of run {run.number} have one name")
    for entry in entries:
        data = files.get(entry.name, b"")
        if hashlib.sha256(data).hexdigest() != entry.sha256:
            raise InternalError(f"The file {entry.name} is not the one that was read back")
