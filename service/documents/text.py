"""The run sheet and the labels as plain text, for kits whose text the PDF cannot show."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from service.documents.model import RunSheet, SheetLoad, SheetRun
from service.documents.wording import BY_HAND, bags_heading, counted, tally, ticket_line, times_text

_WIDTH = 78


def run_sheet_text(sheet: RunSheet) -> str:
    """Return the run sheet without its drawings, with the cautions first."""
    parts = [_heading(sheet.title, "="), _item(ticket_line(sheet))]
    parts.extend(_list("Cautions", sheet.cautions))
    parts.extend(_list("Warnings", sheet.warnings))
    for run in sheet.runs:
        parts.extend(_run(run))
    parts.extend(_list(bags_heading(sheet), (f"{i.count}: {i.about}" for i in sheet.bag)))
    parts.append(_heading("Pieces", "-"))
    for piece in sheet.pieces:
        parts.append(_item(f"{piece.id}: {piece.shape}, {piece.asked}".rstrip(", ")))
        parts.extend(f"  {label}: {text}" for label, text in piece.sizes)
    parts.append(_heading("In all", "-"))
    parts.extend(_facts(sheet.totals))
    parts.extend(_list("For the office", sheet.office))
    return "\n".join(parts) + "\n"


def labels_text(rows: Iterable[tuple[str, ...]]) -> str:
    """Return the labels as text, separated by empty lines."""
    return "\n\n".join("\n".join(row) for row in rows) + "\n"


def _run(run: SheetRun) -> Iterator[str]:
    yield _heading(run.title, "-")
    yield from _facts(run.facts)
    yield from _list("Warnings", run.warnings)
    yield from _list("Prepare", run.preparation)
    yield from _list(BY_HAND, run.by_hand)
    yield from _list("If the test cut is wrong", run.remedies)
    yield _heading("Pieces of this run", "-")
    for piece, needed, made, spare in run.totals:
        yield _item(f"{piece}: needed {needed}, made {made}, spare {spare}")
    for load in run.loads:
        yield from _load(run, load)
    yield from _list("Sort", run.sorting)


def _load(run: SheetRun, load: SheetLoad) -> Iterator[str]:
    yield _heading(f"{run.title}, load {load.number}", "-")
    yield _item(f"{run.verb} it {times_text(load.repeats)}; about {load.time} a time.")
    yield from (_item(line) for line in load.warnings)
    for group in tally(load.repeats):
        yield f"    {'[ ] ' * group}".rstrip()
    for _, text in counted(load, run.layers):
        yield f"[ ] {text}"
    for name in load.files:
        yield f"    File: {name}"
    for stop in load.stops:
        yield _item(f"[ ] {stop.message}")


def _facts(facts: Iterable[tuple[str, str]]) -> Iterator[str]:
    for label, text in facts:
        yield _item(f"{label}: {text}")


def _list(title: str, lines: Iterable[str]) -> Iterator[str]:
    items = [_item(line) for line in lines]
    if items:
        yield _heading(title, "-")
        yield from items


def _heading(text: str, rule: str) -> str:
    line = " ".join(text.split())
    return f"\n{line}\n{rule * min(len(line), _WIDTH)}"


def _item(text: str) -> str:
    # Long words stay whole, so that file names can be copied.
    return textwrap.fill(
        text,
        _WIDTH,
        initial_indent="- ",
        subsequent_indent="  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
