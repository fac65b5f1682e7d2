"""The run sheet as a PDF, with type large enough to read while standing at a bench.

Counts and angles are set in 15 point, everything else in 10 or more. Pictures are as large as
the fewest pages allow; the office's notes have a page of their own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.platypus import (
    Flowable,
    PageBreak,
    Paragraph,
    Spacer,
    Table,
)

from service.documents.model import RunSheet, SheetRun
from service.documents.pdf_loads import drawn_loads, in_two_columns
from service.documents.pdf_pieces import pieces_drawn, totals
from service.documents.picture_key import picture_key
from service.documents.plain import headed, headed_row, paragraph
from service.documents.sketch import Sketch
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
    TITLE,
    Noted,
    facts_table,
    in_columns,
    listed,
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
    run_lines,
    ticket_line,
    times_text,
)
from service.texts import gettext as _

#: Largest heights of a load's picture, points, of which the largest is used that does not add a
#: page. A sheet of more loads has the same height throughout.
_HEIGHTS, _FEW_LOADS, _OF_MANY = (330.0, 270.0, 225.0, 190.0, 160.0, 140.0, 125.0), 6, 190.0
_PAGE_COLUMN = 60.0
_LAST = "last page for the bench"
Pages = Mapping[Any, int]


def run_sheet_pdf(sheet: RunSheet) -> bytes:
    """Return the sheet as a PDF; the same sheet gives the same bytes."""
    loads = [len(run.loads) for run in sheet.runs]
    if sum(loads) > _FEW_LOADS:
        return _typeset(sheet, LoadArrangement(_OF_MANY))[0]
    # From which run on loads share a row.
    froms = [at for at, count in enumerate(loads) if count > 1]
    froms = [froms[0], *(at + 1 for at in froms)] if froms else [0]
    smallest = {at: _typeset(sheet, LoadArrangement(_HEIGHTS[-1], at)) for at in froms}
    fewest = min(pages for _, pages in smallest.values())
    fitting = [at for at in froms if smallest[at][1] == fewest]
    for high in _HEIGHTS[:-1]:
        for at in fitting:
            data, pages = _typeset(sheet, LoadArrangement(high, at))
            if pages <= fewest:
                return data
    return smallest[fitting[0]][0]


def _typeset(sheet: RunSheet, look: LoadArrangement) -> tuple[bytes, int]:
    """Return a sheet's PDF, and its pages without the office's."""
    pages: dict[Any, int] = {}
    data = typeset(sheet, story(sheet, look=look), pages)
    if contents(sheet):
        # The pages of loads are known once they are set; their numbers take no more room then.
        data = typeset(sheet, story(sheet, pages, look), {})
    return data, pages[_LAST]


@dataclass(frozen=True)
class LoadArrangement:
    """How loads are set: the largest height of a picture, points, and where loads share a row.

    Loads share rows from the run with the index ``shared_from`` on.
    """

    high: float = _OF_MANY
    shared_from: int = 0


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
    width, look = PAPERS[sheet.paper][0] - 2 * MARGIN, look or LoadArrangement()
    yield paragraph(sheet.title, TITLE)
    yield paragraph(ticket_line(sheet), BODY)
    # Before anything to be done: people work from the top.
    yield from listed(_("Cautions"), sheet.cautions)
    yield from listed(_("Warnings"), sheet.warnings)
    yield _check(sheet, width)
    if contents(sheet):
        yield from _contents(sheet, width, pages or {})
    said: set[str] = set()
    for index, run in enumerate(sheet.runs):
        # What was said of an earlier run's pictures is not said again.
        lines = [line for line in run_lines(run) if line not in said]
        said.update(lines)
        yield from _run(index, run, lines, width, look)
    yield from listed(
        bags_heading(sheet), tuple(f"{item.count}: {item.about}" for item in sheet.bag)
    )
    yield from pieces_drawn(sheet.pieces, width)
    yield headed_row(((_("In all"), ""), *sheet.totals), BODY, BOLD_BODY)
    yield Noted(_LAST, keep=False)
    # Nobody at the bench needs these: they have a page that can be taken off.
    yield PageBreak()
    yield paragraph(_("For the office"), HEAD)
    yield facts_table(office_facts(sheet), width)
    yield from listed("", sheet.office)


def _check(sheet: RunSheet, width: float) -> Flowable:
    square = CheckSquare(check_side(sheet)[0])
    beside = square.wrap()[0] + 16
    words = [
        Paragraph(check_text(sheet), BODY),
        Spacer(1, 4),
        paragraph(picture_heading(), BOLD_BODY),
        _key(picture_key(sheet), width - beside),
    ]
    return Table([[square, words]], colWidths=[beside, width - beside], style=PLAIN)


def _key(entries: Sequence[tuple[Sketch, str]], width: float) -> Flowable:
    """Return the key of the pictures, two entries to a row."""
    cells = [[SketchDrawing(sample), paragraph(text, BODY)] for sample, text in entries]
    return in_two_columns(cells, (28, width / 2 - 31))


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
    yield Table(rows, colWidths=columns, style=ruled(len(rows)), repeatRows=1)


def _run(
    index: int, run: SheetRun, lines: Sequence[str], width: float, look: LoadArrangement
) -> Iterator[Flowable]:
    yield paragraph(run.title, HEAD)
    yield from listed(_("Warnings"), run.warnings, SUBHEAD)
    yield in_columns([*_before(run), *_first_cut(run)], width)
    yield from listed(by_hand_heading(), run.by_hand, SUBHEAD)
    yield from drawn_strips(run.strips, width)
    yield from (paragraph(line, BODY) for line in lines)
    yield from drawn_loads(index, run, width, look.high, share=index >= look.shared_from)
    yield from totals(run, width)


def _before(run: SheetRun) -> Iterator[Flowable]:
    """Yield what is cut on what, and how the material is prepared."""
    yield from (headed(label, text, BODY, BOLD_BODY) for label, text in run.facts)
    yield from listed(_("Prepare"), run.preparation, SUBHEAD)


def _first_cut(run: SheetRun) -> Iterator[Flowable]:
    """Yield how to set the machine, cut a test, and what to do if it is wrong."""
    if run.settings:
        yield paragraph(_("Set the machine"), SUBHEAD)
        yield from (headed(label, text, BODY, BOLD_BODY) for label, text in run.settings)
    yield from listed(_("Test cut"), run.test, SUBHEAD)
    yield from listed(_("If the test cut is wrong"), run.remedies, SUBHEAD)
