"""A page of sections as a PDF, in the type and rules of the run sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reportlab.platypus import Flowable, KeepTogether, Spacer

from service.documents.page import Page, Section
from service.documents.pictures.strips import MAX_DRAWN, DrawnStrip
from service.documents.plain import paragraph
from service.documents.sketch_pdf import MM, SketchDrawing
from service.documents.sketches import strip_sketch
from service.documents.typesetting import (
    BIG,
    BODY,
    HEAD,
    MARGIN,
    PAPERS,
    TITLE,
    facts_table,
    typeset,
)
from service.documents.typesetting import listed as sentences

#: Of a drawing's line at both sides, and the height of the highest strip, points.
_ROOM, _MAX_HEIGHT = 4.0, 400.0


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
    yield from _strips(section.strips[:MAX_DRAWN], width)
    if len(section.strips) > MAX_DRAWN:
        yield paragraph(f"and {len(section.strips) - MAX_DRAWN} more", BODY)


def _strips(strips: Sequence[DrawnStrip], width: float) -> Iterator[Flowable]:
    """Yield the strips of one fabric, all in one scale, none higher than a page."""
    if not strips:
        return
    longest, highest = (max(getattr(each, of) for each in strips) for of in ("length", "height"))
    scale = min((width - _ROOM) / longest, _MAX_HEIGHT / highest)
    for strip in strips:
        drawing = SketchDrawing(strip_sketch(strip, scale / MM))
        yield KeepTogether([Spacer(1, 4), paragraph(strip.title, BODY), drawing])
