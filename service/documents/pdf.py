"""The run sheet as a PDF, with type large enough to read while standing at a bench.

Counts and angles are set in 15 point, everything else in 10 or more; a usual kit that would take
more than two pages is set at nine tenths of that if this saves a page. Pictures are as large as
possible without another page; the notes for the office have a page of their own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, MutableMapping
from dataclasses import replace
from typing import Any

from reportlab.platypus import (
    Flowable,
    PageBreak,
    Paragraph,
)

from service.documents.columns import ColumnSection, in_columns, kept_with
from service.documents.free_room import MovableSection
from service.documents.kept_flowables import KeptFlowables
from service.documents.load_arrangement import HEIGHTS, LoadArrangement, best_arrangement
from service.documents.measured_table import MeasuredTable
from service.documents.model import RunSheet, SheetRun
from service.documents.pdf_loads import drawn_loads
from service.documents.pdf_pieces import pieces_drawn, totals
from service.documents.picture_key import picture_key
from service.documents.plain import headed, headed_row, paragraph
from service.documents.sketch_pdf import CheckSquare, SketchDrawing
from service.documents.strips_pdf import drawn_strips
from service.documents.typesetting import (
    BODY,
    BOLD_BODY,
    HEAD,
    MARGIN,
    PAPERS,
    PLAIN,
    SUBHEAD,
    TIGHT,
    TITLE,
    Noted,
    facts_table,
    listed,
    noted_pages,
    ruled,
    typeset,
)
from service.documents.wording import (
    bags_heading,
    by_hand_heading,
    check_side,
    check_text,
    contents,
    load_heading,
    office_facts,
    picture_heading,
    settings_heading,
    ticket_line,
    times_text,
)
from service.texts import gettext as _

#: A sheet of more loads than this has all pictures at one height; that height, points.
_FEW_LOADS, _OF_MANY = 12, 190.0
_PAGE_COLUMN = 60.0
#: Columns of the pictures' key, and the width of a sample in it, points.
_KEY_COLUMNS, _SAMPLE = 3, 28.0
_LAST = "last page for the bench"
Pages = Mapping[Any, int]


def run_sheet_pdf(sheet: RunSheet) -> bytes:
    """Return the sheet as a PDF; the same sheet gives the same bytes."""
    if sum(len(run.loads) for run in sheet.runs) > _FEW_LOADS:
        return _typeset(sheet, LoadArrangement(_OF_MANY))
    # Two loads share a row from a certain run on: the numbers of the runs that can be this one.
    froms = [at for at, run in enumerate(sheet.runs) if len(run.loads) > 1]
    froms = [froms[0], *(at + 1 for at in froms)] if froms else [0]
    # Usually the largest pictures fit on the fewest pages, and nothing else has to be tried.
    largest = LoadArrangement(HEIGHTS[0], froms[0])
    least: dict[Any, int] = {}
    kept = KeptFlowables()
    known = {largest: _noted(sheet, largest, kept, least)[_LAST]}
    if known[largest] == least[_LAST] and all(len(run.loads) == 1 for run in sheet.runs):
        # Every run has one load, so no two can share a row: only smaller pictures save a page.
        known[replace(largest, high=HEIGHTS[-1])] = least[_LAST]
    best = best_arrangement(froms, lambda look: _noted(sheet, look, kept)[_LAST], known)
    return _typeset(sheet, best)


def _typeset(sheet: RunSheet, look: LoadArrangement) -> bytes:
    # The table of contents needs the loads' page numbers: count everything once to find them.
    pages = _noted(sheet, look, KeptFlowables()) if contents(sheet) else None
    return typeset(sheet, story(sheet, pages, look), scale=look.scale)


def _noted(
    sheet: RunSheet,
    look: LoadArrangement,
    kept: KeptFlowables,
    least: MutableMapping[Any, int] | None = None,
) -> Pages:
    """Return on which page each noted thing is, nothing being drawn; see ``noted_pages``."""
    return noted_pages(sheet, _for_bench(sheet, None, look, kept), scale=look.scale, least=least)


def story(
    sheet: RunSheet,
    pages: Pages | None = None,
    look: LoadArrangement | None = None,
) -> Iterator[Flowable]:
    """Yield the sheet's flowables from top to bottom; none is larger than a page.

    Args:
        sheet: what they say.
        pages: of loads, by the numbers of run and load from 0; for the table of contents.
        look: how its loads are set.
    """
    look = look or LoadArrangement(_OF_MANY)
    yield from _for_bench(sheet, pages, look, KeptFlowables())
    # Nobody at the bench needs the rest: it has a page of its own, which can be taken off.
    yield PageBreak()
    yield paragraph(_("For the office"), HEAD)
    yield facts_table(office_facts(sheet), _width(sheet, look))
    yield from listed("", sheet.office)


def _width(sheet: RunSheet, look: LoadArrangement) -> float:
    return float(PAPERS[sheet.paper][0] - 2 * MARGIN) / look.scale


def _for_bench(
    sheet: RunSheet, pages: Pages | None, look: LoadArrangement, kept: KeptFlowables
) -> Iterator[Flowable]:
    """Yield the flowables of the pages for the bench, and the mark of the last one."""
    width = _width(sheet, look)
    yield from kept.of(("head", width), lambda: _head(sheet, width, look.scale))
    if contents(sheet):
        yield from _contents(sheet, width, pages or {})
    drawn = kept.of(("pieces", width), lambda: pieces_drawn(sheet.pieces, width))
    pieces = MovableSection(drawn, width)
    for index, run in enumerate(sheet.runs):
        yield from _run(index, run, width, look, pieces, kept)
    yield from listed(
        bags_heading(sheet), tuple(f"{item.count}: {item.about}" for item in sheet.bag)
    )
    yield from pieces.at_its_place()
    yield headed_row(((_("In all"), ""), *sheet.totals), BODY, BOLD_BODY)
    yield Noted(_LAST, keep=False)


def _head(sheet: RunSheet, width: float, scale: float) -> Iterator[Flowable]:
    """Yield what comes before the runs."""
    yield _top(sheet, width, scale)
    # Cautions and warnings come before any work: people work from the top.
    yield from listed("", sheet.cautions[1:])
    yield from listed(_("Warnings"), sheet.warnings)
    yield Paragraph(check_text(sheet), BODY)
    yield _key(sheet, width)


def _top(sheet: RunSheet, width: float, scale: float) -> Flowable:
    """Return title, kit and the first caution, with the check square at their right."""
    square = CheckSquare(*check_side(sheet), scale)
    beside = square.wrap()[0] + 8.0
    cautions = listed(_("Cautions"), sheet.cautions[:1])
    words = [paragraph(sheet.title, TITLE), paragraph(ticket_line(sheet), BODY), *cautions]
    return MeasuredTable([[words, square]], colWidths=[width - beside, beside], style=PLAIN)


def _key(sheet: RunSheet, width: float) -> Flowable:
    """Return the key of the pictures, three entries to a row."""
    column = (_SAMPLE, width / _KEY_COLUMNS - _SAMPLE)
    cells: list[Flowable | str] = []
    for sample, text in picture_key(sheet):
        cells += [SketchDrawing(sample), paragraph(text, BODY)]
    cells += [""] * (-len(cells) % (2 * _KEY_COLUMNS))
    row = 2 * _KEY_COLUMNS
    rows = [cells[at : at + row] for at in range(0, len(cells), row)]
    key = MeasuredTable(rows, colWidths=column * _KEY_COLUMNS, style=TIGHT, hAlign="LEFT")
    heading = paragraph(picture_heading(sheet), BOLD_BODY)
    return MeasuredTable([[[heading, key]]], colWidths=[width], style=PLAIN)


def _contents(sheet: RunSheet, width: float, pages: Pages) -> Iterator[Flowable]:
    """Yield a table of all loads with their pages."""
    yield paragraph(_("Contents"), HEAD)
    rows = [[paragraph(each, BOLD_BODY) for each in (_("Load"), _("How often"), _("Page"))]]
    for index, run in enumerate(sheet.runs):
        for load in run.loads:
            page = str(pages.get((index, load.number), ""))
            cells = (load_heading(run, load), times_text(load.repeats), page)
            rows.append([paragraph(cell, BODY) for cell in cells])
    columns = [width - 2 * _PAGE_COLUMN - 30, _PAGE_COLUMN + 30, _PAGE_COLUMN]
    yield MeasuredTable(rows, colWidths=columns, style=ruled(len(rows)), repeatRows=1)


def _run(
    index: int,
    run: SheetRun,
    width: float,
    look: LoadArrangement,
    pieces: MovableSection,
    kept: KeptFlowables,
) -> Iterator[Flowable]:
    yield from kept.of(("prepare", index, width), lambda: _prepared(run, width))
    share = index >= look.shared_from
    loads = kept.of(
        ("loads", index, width, look.high, share),
        lambda: drawn_loads(index, run, width, look.high, share=share),
    )
    if loads:
        yield pieces.before(loads[0])
    yield from loads
    yield from kept.of(("after", index, width), lambda: _after_loads(run, width))


def _prepared(run: SheetRun, width: float) -> list[Flowable]:
    # A heading alone at the foot of a page is taken for the end of something.
    head = [paragraph(run.title, HEAD), *listed(_("Warnings"), run.warnings, SUBHEAD)]
    return kept_with(head, in_columns(_sections(run), width), width)


def _after_loads(run: SheetRun, width: float) -> Iterator[Flowable]:
    yield from listed(by_hand_heading(), run.by_hand, SUBHEAD)
    yield from drawn_strips(run.strips, width)
    yield from totals(run, width)


def _sections(run: SheetRun) -> list[ColumnSection]:
    """Return what is done before the first load: prepare, set the machine, cut a test."""
    return [
        ColumnSection("", tuple(headed(*each, BODY, BOLD_BODY) for each in run.facts)),
        ColumnSection(_("Prepare"), tuple(listed("", run.preparation))),
        ColumnSection(
            settings_heading(run), tuple(headed(*each, BODY, BOLD_BODY) for each in run.settings)
        ),
        ColumnSection(_("Test cut"), tuple(listed("", run.test))),
        ColumnSection(_("If the test cut is wrong"), tuple(listed("", run.remedies))),
    ]
