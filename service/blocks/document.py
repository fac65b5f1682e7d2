"""A block on paper: its drawings, how it is sewn, foundations and templates at true size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from reportlab.platypus import Flowable, PageBreak

from geometry.blocks.sections import SeamKind, Sewing
from geometry.units import format_length
from service.blocks.drawings import BlockDrawings, names_without_room
from service.blocks.foundation_pages import foundation_pages
from service.blocks.pages import template_pages
from service.blocks.pieces import by_letter
from service.blocks.reading import MAX_SEWN, reading_of
from service.documents.cautions import GENERAL
from service.documents.measured_table import MeasuredTable
from service.documents.plain import headed, paragraph
from service.documents.sketch import Sketch
from service.documents.sketch_pdf import MM, CheckSquare, SketchDrawing
from service.documents.true_size import page_room, tiles_of, true_size_pages
from service.documents.typesetting import (
    BODY,
    BOLD_BODY,
    HEAD,
    MARGIN,
    PAPERS,
    PLAIN,
    TITLE,
    listed,
    ruled,
    typeset,
)
from service.errors import Fault
from service.requests.drawn_blocks import DrawnBlockRequest
from service.schemas.loading import Found, refusal
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.texts import ngettext
from service.tools.pen import PenKind

MAX_PAGES = 300
"""Pages at true size of one block."""
_SEAMS: Final[dict[SeamKind, str]] = {
    "straight": _later("a straight seam"),
    "curved": _later("a curved seam"),
    "set-in": _later("a set-in seam"),
}


@dataclass(frozen=True)
class _Titled:
    """What the typesetter needs to know of a block."""

    title: str
    paper: str
    number: str = ""
    language: str = "en"


def block_document(request: DrawnBlockRequest, data: bytes | None) -> bytes:
    """Return a block's pages to print, as a PDF.

    Args:
        request: how it is read and made.
        data: the drawing's file; ``None`` where the request has paths.

    Raises:
        RequestError: when the drawing cannot be read, or takes too many pages.
    """
    read = reading_of(request, data)
    if len(read.pieces) > MAX_SEWN:
        detail = (
            f"This block has {len(read.pieces)} pieces; pages are made of at most {MAX_SEWN}. Ask "
            "for JSON, or send a part of the block."
        )
        raise refusal([Found(Fault("#/paths" if data is None else "#/file", detail))])
    drawings = BlockDrawings(read, request)
    sewing = read.sewing()
    large = list(_true_size(drawings, sewing))
    pages = sum(len(tiles_of(each.sketch.box, page_room(request.paper)).tiles) for each in large)
    if pages > MAX_PAGES:
        detail = (
            f"At true size this block takes {pages} pages; {MAX_PAGES} are the most. State a "
            "smaller finished_width."
        )
        raise refusal([Found(Fault("#/finished_width", detail))])
    flowables = [*_front(drawings, sewing)]
    for each in large:
        flowables += true_size_pages(each.sketch, request.paper, each.heading, each.notes)
    return typeset(_Titled(request.title, request.paper), flowables)


def _front(drawings: BlockDrawings, sewing: Sewing | None) -> Iterator[Flowable]:
    """Yield what comes before the pages at true size."""
    request, pieces = drawings.request, drawings.read.pieces
    width, height = PAPERS[request.paper]
    wide = width - 2 * MARGIN
    room = (wide - 6.0) / MM, (height - 2 * MARGIN - 150.0) / MM
    yield paragraph(request.title, TITLE)
    yield from listed(_("Cautions"), tuple(_(each) for each in (*PenKind.cautions, GENERAL[0])))
    yield _check(request, wide)
    yield from listed(_("How to use these pages"), tuple(_how(drawings, sewing)))
    yield paragraph(_("Pieces"), HEAD)
    yield _pieces(drawings, wide)
    yield from _drawn(_("The block"), drawings.whole(room), [piece.name for piece in pieces])
    yield from _drawn(_("Pieces with their allowances"), drawings.apart(room), [])
    if without := [name for name, patch in drawings.patches.items() if patch is None]:
        yield paragraph(
            _(
                "Without allowance, which does not fit round them: {pieces}.",
                pieces=", ".join(without),
            ),
            BODY,
        )
    if sewing is None:
        return
    smaller = room[0], 0.6 * room[1]
    yield from _drawn(_("How the block is sewn"), drawings.sections(sewing, smaller), [])
    yield from listed(_("Order of sewing"), tuple(_order(drawings, sewing)))


def _drawn(title: str, sketch: Sketch, names: Sequence[str]) -> Iterator[Flowable]:
    """Yield a drawing on a page of its own."""
    yield PageBreak()
    yield paragraph(title, HEAD)
    yield SketchDrawing(sketch)
    if without := names_without_room(sketch, names):
        yield paragraph(
            _("Too small for their names here: {pieces}.", pieces=", ".join(without)), BODY
        )


def _check(request: DrawnBlockRequest, wide: float) -> Flowable:
    side, words = (25.4, "1 in") if request.units == "in" else (30.0, "30 mm")
    square = CheckSquare(side, words)
    text = _(
        "Print these pages at 100 % (no fitting to the page). The square must measure "
        "{side} each way. If it does not, set printing to 100 % and print again.",
        side=words,
    )
    beside = square.wrap()[0] + 16
    cell = headed(_("Check this print first."), text, BODY, BOLD_BODY)
    return MeasuredTable(
        [[square, cell]], colWidths=[beside, wide - beside], style=PLAIN, hAlign="LEFT"
    )


def _how(drawings: BlockDrawings, sewing: Sewing | None) -> Iterator[str]:
    request = drawings.request
    units = request.units or "mm"
    seam = format_length(request.allowance, units)
    outer = format_length(request.outer_allowance, units)
    if request.allowance == request.outer_allowance:
        yield _("Seam allowance {seam}: the broken lines.", seam=seam)
    else:
        yield _(
            "Seam allowance {seam}, {outer} at the block's edge: the broken lines.",
            seam=seam,
            outer=outer,
        )
    yield _("Arrows show the grain. Short lines across seams are match marks: pin them together.")
    if sewing is None:
        yield _("Pieces lie inside others, so there is no order of sewing and no foundation.")
    else:
        yield _(
            "Foundations are mirrored: sew from the printed side, with the fabric on the other "
            "side, in the order of the numbers."
        )
    yield _("Templates are at finished size and lie as in the block, seen from the right side.")


def _pieces(drawings: BlockDrawings, wide: float) -> Flowable:
    units = drawings.request.units or "mm"
    heads = (_("Letter"), _("Pieces"), _("Fabrics"), _("Size"))
    rows = [[paragraph(each, BOLD_BODY) for each in heads]]
    for letter, pieces in by_letter(drawings.read.pieces).items():
        box = pieces[0].group.outline.bounds
        fabrics = dict.fromkeys(piece.fabric for piece in pieces)
        counted = ", ".join(
            f"{sum(piece.fabric == name for piece in pieces)} {name}" for name in fabrics
        )
        size = f"{format_length(box.width, units)} x {format_length(box.height, units)}"
        cells = (letter, str(len(pieces)), counted, size)
        rows.append([paragraph(cell, BODY) for cell in cells])
    columns = [50.0, 50.0, (wide - 100.0) / 2, (wide - 100.0) / 2]
    return MeasuredTable(rows, colWidths=columns, style=ruled(len(rows)), repeatRows=1)


def _order(drawings: BlockDrawings, sewing: Sewing) -> Iterator[str]:
    names = drawings.read.names
    for number, section in enumerate(sewing.sections, start=1):
        order = ", ".join(names[face] for face in section.pieces)
        if len(section.pieces) == 1:
            yield _("Section {number} is the piece {piece}.", number=number, piece=order)
        else:
            yield _(
                "Section {number}, on a foundation: {order}, in this order.",
                number=number,
                order=order,
            )
    for number, join in enumerate(sewing.joins, start=1):
        first, second = (_sections(part) for part in (join.first, join.second))
        yield _(
            "Join {number}: {first} to {second} by {seam}.",
            number=number,
            first=first,
            second=second,
            seam=_(_SEAMS[join.kind]),
        )


def _sections(part: Sequence[int]) -> str:
    numbers = [str(each + 1) for each in part]
    return ngettext(
        "section {numbers}", "sections {numbers}", len(numbers), numbers=", ".join(numbers)
    )


@dataclass(frozen=True)
class _TrueSize:
    """A drawing at true size, and what stands above it."""

    sketch: Sketch
    heading: str
    notes: str


def _true_size(drawings: BlockDrawings, sewing: Sewing | None) -> Iterator[_TrueSize]:
    """Yield the foundations and the templates."""
    names = drawings.read.names
    room = page_room(drawings.request.paper)
    sections = [
        (number, section)
        for number, section in enumerate(sewing.sections if sewing else (), start=1)
        if len(section.pieces) > 1
    ]
    orders = {
        number: ", ".join(names[face] for face in section.pieces) for number, section in sections
    }
    for made in foundation_pages(drawings, sections, room):
        numbers = ", ".join(map(str, made.sections))
        if len(made.sections) > 1:
            yield _TrueSize(
                made.sketch,
                _("Foundations of sections {numbers}, mirrored", numbers=numbers),
                _("Cut them apart. Sew each in the order of its numbers."),
            )
            continue
        notes = [_("Sew in this order: {order}.", order=orders[made.sections[0]])]
        if made.is_turned:
            notes.append(_("Turned by a quarter, so that it takes fewer pages."))
        heading = _("Foundation of section {number}, mirrored", number=numbers)
        yield _TrueSize(made.sketch, heading, " ".join(notes))
    for page in template_pages(drawings, room):
        yield _TrueSize(page.sketch, _("Templates at finished size"), f"{', '.join(page.names)}.")
