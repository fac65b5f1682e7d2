"""The run sheet and the labels as plain text, for kits whose text the PDF cannot show."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from service.documents.model import RunSheet, SheetLoad, SheetRun
from service.documents.wording import (
    bags_heading,
    by_hand_heading,
    counted,
    file_lines,
    how_often,
    load_heading,
    office_facts,
    piece_heading,
    rest_lines,
    settings_heading,
    tally,
    ticket_line,
    warning_lines,
)
from service.texts import gettext as _

_WIDTH = 78


def run_sheet_text(sheet: RunSheet) -> str:
    """Return the run sheet without its drawings, with the cautions first."""
    parts = [_heading(sheet.title, "="), _item(ticket_line(sheet))]
    parts.append(_item(_('Never cut "...picture.svg": only look at it.')))
    parts.extend(_list(_("Cautions"), sheet.cautions))
    parts.extend(_list(_("Warnings"), sheet.warnings))
    for run in sheet.runs:
        parts.extend(_run(run))
    parts.extend(_list(bags_heading(sheet), (f"{i.count}: {i.about}" for i in sheet.bag)))
    parts.append(_heading(_("Pieces"), "-"))
    for piece in sheet.pieces:
        parts.append(_item(piece_heading(piece)))
        parts.extend(f"  {label}: {text}" for label, text in piece.sizes)
    parts.append(_heading(_("In all"), "-"))
    parts.extend(_facts(sheet.totals))
    parts.append(_heading(_("For the office"), "-"))
    parts.extend(_facts(office_facts(sheet)))
    parts.extend(_item(line) for line in sheet.office)
    return "\n".join(parts) + "\n"


def labels_text(rows: Iterable[tuple[str, ...]]) -> str:
    """Return the labels as text, separated by empty lines."""
    return "\n\n".join("\n".join(row) for row in rows) + "\n"


def _run(run: SheetRun) -> Iterator[str]:
    yield _heading(run.title, "-")
    yield from _facts(run.facts)
    yield from _list(_("Warnings"), run.warnings)
    yield from _list(_("Prepare"), run.preparation)
    yield from _list(settings_heading(run), (f"{label}: {text}" for label, text in run.settings))
    yield from _list(_("Test cut"), run.test)
    yield from _list(_("If the test cut is wrong"), run.remedies)
    for load in run.loads:
        yield from _load(run, load)
    yield from _list(by_hand_heading(), run.by_hand)
    yield _heading(_("Pieces of this run"), "-")
    for piece, needed, made, spare in run.totals:
        yield _item(
            _(
                "{piece}: needed {needed}, made {made}, spare {spare}",
                piece=piece,
                needed=needed,
                made=made,
                spare=spare,
            )
        )
    yield from _list(_("Sort"), run.sorting)


def _load(run: SheetRun, load: SheetLoad) -> Iterator[str]:
    yield _heading(load_heading(run, load), "-")
    yield _item(f"{how_often(run, load)}.")
    for group in tally(load.repeats):
        yield f"    {'[ ] ' * group}".rstrip()
    for _piece, text in counted(load, run.layers):
        yield f"[ ] {text}"
    yield from (_item(line) for line in file_lines(run, load))
    yield from (_item(line) for line in warning_lines(load))
    for stop in load.stops:
        yield _item(f"[ ] {stop.message}")
        for group in tally(stop.times):
            yield f"    {'[ ] ' * group}".rstrip()
    yield from (_item(line) for line in rest_lines(load))


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
