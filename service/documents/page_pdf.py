"""A page of sections as a PDF, in the type and rules of the run sheet."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import Flowable, KeepTogether

from service.documents.measured_table import MeasuredTable
from service.documents.page import Page, PageSection
from service.documents.plain import paragraph
from service.documents.sketch_pdf import SketchDrawing
from service.documents.strips_pdf import drawn_strips
from service.documents.typesetting import (
    BIG,
    BODY,
    BOLD_BODY,
    HEAD,
    MARGIN,
    PAPERS,
    TITLE,
    facts_table,
    ruled,
    typeset,
)
from service.documents.typesetting import listed as sentences

#: Letters that every column of a table has room for besides its longest text.
_COLUMN = 3


def page_pdf(page: Page) -> bytes:
    """Return a page as a PDF; the same page gives the same bytes."""
    width = PAPERS[page.paper][0] - 2 * MARGIN
    flowables = [paragraph(page.title, TITLE)]
    for section in page.sections:
        told = list(_section(section, width))
        # What is cut from a fabric is read as one list.
        flowables.extend([KeepTogether(told)] if section.strips else told)
        flowables.extend(drawn_strips(section.strips, width))
    return typeset(page, flowables)


def _section(section: PageSection, width: float) -> Iterator[Flowable]:
    if section.title:
        yield paragraph(section.title, HEAD)
    if section.facts:
        yield facts_table(section.facts, width)
    if section.amounts:
        yield facts_table(section.amounts, width, BIG)
    if section.sketch is not None:
        yield SketchDrawing(section.sketch)
    if section.rows:
        yield _table(section, width)
    yield from sentences("", section.items)


def _table(section: PageSection, width: float) -> Flowable:
    """Return the section's table, its columns as wide as their texts ask."""
    rows = [[paragraph(each, BOLD_BODY) for each in section.heads]]
    rows += [[paragraph(each, BODY) for each in row] for row in section.rows]
    columns = zip(section.heads, *section.rows, strict=True)
    wanted = [max(map(len, column)) + _COLUMN for column in columns]
    widths = [width * each / sum(wanted) for each in wanted]
    return MeasuredTable(
        rows, colWidths=widths, style=ruled(len(rows)), repeatRows=1, hAlign="LEFT"
    )
