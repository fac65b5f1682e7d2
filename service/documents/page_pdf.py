"""A page of sections as a PDF, in the type and rules of the run sheet."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import Flowable, KeepTogether

from service.documents.drawing import StripDrawing
from service.documents.page import Page, Section
from service.documents.pdf import BIG, BODY, HEAD, MARGIN, PAPERS, TITLE, facts_table, typeset
from service.documents.pdf import listed as sentences
from service.documents.plain import paragraph


def page_pdf(page: Page) -> bytes:
    """Return a page as a PDF; the same page gives the same bytes."""
    width = PAPERS[page.paper][0] - 2 * MARGIN
    flowables = [paragraph(page.title, TITLE)]
    for section in page.sections:
        flowables.extend(_section(section, width))
    return typeset(page, flowables)


def _section(section: Section, width: float) -> Iterator[Flowable]:
    if section.title:
        yield paragraph(section.title, HEAD)
    if section.facts:
        yield facts_table(section.facts, width)
    if section.amounts:
        yield facts_table(section.amounts, width, BIG)
    yield from sentences("", section.items)
    longest = max((each.length for each in section.strips), default=1.0)
    for strip in section.strips:
        drawing = StripDrawing(strip, width / longest)
        yield KeepTogether([paragraph(strip.title, BODY), drawing])
