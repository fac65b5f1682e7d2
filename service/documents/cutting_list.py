"""The cutting list as comma-separated values (RFC 4180), for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from geometry.units import format_length
from service.answers.kits import CutKitAnswer
from service.answers.runs import PieceTotalAnswer, RunAnswer
from service.tools.figures import bench_s

COLUMNS = (
    "kit",
    "reference",
    "run",
    "cut",
    "material",
    "cutter",
    "load",
    "times",
    "piece",
    "shape",
    "size",
    "outlines per load",
    "pieces per load",
    "pieces in all",
    "minutes in all",
    "files",
    "cloth to buy",
    "width of the cloth",
)
#: What a spreadsheet takes for the start of a formula; text that begins so comes from a request.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_S_PER_MIN = 60.0


def cutting_list_csv(answer: CutKitAnswer, units: str) -> bytes:
    """Return a row for each piece on each load.

    Args:
        answer: of a kit, with its runs, loads and files.
        units: of the request, in which the width of cloth is stated.

    Returns:
        UTF-8 with a byte order mark, by which spreadsheets know it. The minutes of a load, as the
        run sheet rounds them, stand in the row of its first piece, so that a column can be summed;
        what to buy of a run's cloth stands in the run's first row.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for row in _rows(answer, units):
        writer.writerow([_cell(each) for each in row])
    return text.getvalue().encode("utf-8-sig")


def _rows(answer: CutKitAnswer, units: str) -> Iterator[tuple[str | int | float, ...]]:
    known = {piece.id: piece for piece in answer.pieces}
    kit = (answer.number, answer.reference or "")
    for run in answer.runs:
        of_run = (run.number, run.cut, run.material.name, run.cutter)
        cloth = _cloth(run, units)
        for load in run.loads:
            times = load.repeats
            minutes: str | float = round(times * bench_s(load.estimated_s) / _S_PER_MIN, 2)
            # A mirror image may come out of its partner's outline, and have none of its own.
            for piece in {**load.outlines, **load.pieces}:
                made = load.pieces.get(piece, 0)
                yield (
                    *kit,
                    *of_run,
                    load.number,
                    times,
                    _named(run.totals.get(piece), piece),
                    known[piece].shape,
                    known[piece].size,
                    load.outlines.get(piece, 0),
                    made,
                    made * times,
                    minutes,
                    " ".join(file.name for file in load.files),
                    *cloth,
                )
                minutes, cloth = "", ("", "")


def _cloth(run: RunAnswer, units: str) -> tuple[str, str]:
    """Return how much cloth to buy for a run, and how wide; empty where none is bought."""
    if run.bought is None:
        return "", ""
    buy, width_mm = run.bought
    return buy, format_length(width_mm, units)


def _named(total: PieceTotalAnswer | None, piece: str) -> str:
    """Return a piece's id; of a heap of pieces that are cut alike, the ids of all of them."""
    portions = (total.per_copy if total else None) or {}
    return ", ".join(portions) if len(portions) > 1 else piece


def _cell(value: str | float) -> str | int | float:
    """Return a value as it is written; an apostrophe keeps text from being taken for a formula."""
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return value
