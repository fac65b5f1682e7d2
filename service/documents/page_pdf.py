"""A page of sections as a PDF, in the type and rules of the run sheet."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import Flowable

from service.documents.page import Page, PageSection
from service.documents.plain import paragraph
from service.documents.strips_pdf import drawn_strips
from service.documents.typesetting import (
    BIG,
    HEAD,
    MARGIN,
    PAPERS,
    TITLE,
    facts_table,
    typeset,
)
from service.documents.typesetting import listed as sentences


def page_pdf(page: Page) -> bytes:
    """Return a page as a PDF; the same page gives the same bytes."""
    width = PAPERS[page.paper][0] - 2 * MARGIN
    flowables = [paragraph(page.title, TITLE)]
    for section in page.sections:
        flowables.extend(_section(section, width))
    return typeset(page, flowables)


def _section(section: PageSection, width: float) -> Iterator[Flowable]:
    if section.title:
        yield paragraph(section.title, HEAD)
    if section.facts:
        yield facts_table(section.facts, width)
    if section.amounts:
        yield facts_table(section.amounts, width, BIG)
    yield from sentences("", section.items)
    yield from drawn_strips(section.strips, width)
