"""The sheet for cutting by hand: what to buy of each fabric, and how to cut it, with drawings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from geometry.shapes.catalogue import CATALOGUE
from geometry.shapes.words import CUSTOM
from geometry.units import UNIT_MM, format_length
from service.answers.fabrics import FabricAnswer, LengthAnswer, PreCutsAnswer
from service.answers.quilts import (
    PlannedPieceAnswer,
    QuiltPlanAnswer,
)
from service.documents.page import Page, PageSection
from service.documents.shape_words import shown_shape, shown_size
from service.quilts.border_sheet import border_sections, whole_strips
from service.quilts.fabric import FoundFabric
from service.quilts.finishing_sheet import finishing_facts
from service.quilts.length_text import sides_text
from service.quilts.paper_sheet import template_facts
from service.quilts.plan import planned
from service.quilts.top_sketch import legend_rows, top_sketch
from service.quilts.yardage import fabrics_of
from service.requests.quilt_spec import QuiltSpec
from service.requests.shapes import size_text
from service.requests.yardage import YardageRequest
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.texts import ngettext

_TITLE = _later("Cutting by hand")
#: Longer numbers in names of fabrics are not counted up.
_DIGITS = 9
#: Room for the quilt's drawing on the first page, mm.
_DRAWING = (180.0, 110.0)


def yardage_sheet(request: YardageRequest) -> Page:
    """Return the sheet for the fabrics of pieces.

    Raises:
        RequestError: with every error of the request.
    """
    units = request.units or ("mm" if request.fabric.unit == "m" else "in")
    fabrics = fabrics_of(request)
    return Page(_(_TITLE), _paper(units), (_cautions(fabrics), *_fabrics(fabrics, units)))


def plan_sheet(spec: QuiltSpec) -> Page:
    """Return the sheet for a planned quilt.

    Raises:
        RequestError: with every error of the request.
    """
    found = planned(spec)
    plan = found.answer
    fabrics = sorted(found.fabrics, key=lambda each: _as_counted(each.answer.fabric))
    sections = [
        _cautions(fabrics),
        PageSection(
            _("Quilt"),
            facts=tuple(_quilt(plan, spec.units, spec.kits)),
            sketch=top_sketch(found.drawn, legend_rows(plan.colours), _DRAWING),
        ),
        *([PageSection(_("Warnings"), items=tuple(plan.warnings))] if plan.warnings else []),
        PageSection(
            _("Pieces of the quilt"),
            heads=(_("Letter"), _("Piece"), _("Size, finished"), _("Fabric"), _("Pieces")),
            rows=tuple(_piece(each, spec.units) for each in plan.pieces),
        ),
        *border_sections(plan.borders, spec.fabric.fabric, spec.units),
        *_fabrics(fabrics, spec.units),
        PageSection(
            _("Finishing"),
            facts=(
                *template_facts(plan.materials.paper, spec.units),
                *finishing_facts(plan.materials, spec.units),
            ),
        ),
    ]
    return Page(spec.title, _paper(spec.units), tuple(sections))


def sheet_bytes(page: Page, media_type: str) -> bytes:
    """Return a sheet as a PDF or, for browsers, as HTML."""
    # Imported here, so that only those who print wait for a typesetter.
    if media_type == "text/html":
        from service.documents.page_html import page_html  # noqa: PLC0415

        return page_html(page).encode()
    from service.documents.page_pdf import page_pdf  # noqa: PLC0415

    return page_pdf(page)


def _as_counted(name: str) -> list[str]:
    """Return a key by which round 2 comes before round 10."""
    return [each.zfill(_DIGITS) if each.isdigit() else each for each in re.split(r"(\d+)", name)]


def _paper(units: str) -> str:
    return "letter" if units == "in" else "a4"


def _cautions(fabrics: Sequence[FoundFabric]) -> PageSection:
    """Return the cautions; they come before anything to be done."""
    lines = dict.fromkeys(line for each in fabrics for line in each.cutting.cautions)
    return PageSection(_("Cautions"), items=tuple(_(each) for each in lines))


def _quilt(plan: QuiltPlanAnswer, units: str, kits: int) -> Iterator[tuple[str, str]]:
    yield _("Size"), sides_text(plan.assembled.width_mm, plan.assembled.length_mm, units)
    counts = [strip.quantity for each in plan.borders for strip in each.joined_from]
    counts += [strip.quantity for each in plan.borders for strip in whole_strips(each)]
    # Pieces are what is cut beside strips, of which long ones may be joined.
    pieces = plan.totals.pieces - sum(
        strip.quantity for each in plan.borders for strip in each.strips
    )
    text = f"{pieces:,}"
    if count := sum(counts):
        text = ngettext(
            "{pieces}, and {n} strip for borders",
            "{pieces}, and {n} strips for borders",
            count,
            pieces=text,
        )
    yield _("Pieces"), text
    if kits > 1:
        yield (
            _("Kits"),
            _("{kits}; fabrics and templates are for all of them, pieces for one", kits=kits),
        )


def _piece(piece: PlannedPieceAnswer, units: str) -> tuple[str, ...]:
    """Return the row of equal pieces: letter, shape, size, fabric, number in one quilt."""
    kind = str(piece.shape["kind"])
    title = CATALOGUE[kind].title if kind in CATALOGUE else CUSTOM
    # A size that the request did not write is as long as a computer makes it.
    sizes = {
        name: format_length(UNIT_MM[units] * value, units) if isinstance(value, float) else value
        for name, value in piece.shape.items()
    }
    size = size_text(kind, sizes, units) if kind in CATALOGUE else ""
    shown = shown_shape(title)
    if piece.mirror_of is not None:
        shown = _("{shape}, mirror image of {piece}", shape=shown, piece=piece.mirror_of)
    return piece.id, shown, shown_size(size), piece.colour, f"{piece.quantity:,}"


def _fabrics(fabrics: Sequence[FoundFabric], units: str) -> Iterator[PageSection]:
    for each in fabrics:
        cutting = each.cutting
        yield PageSection(
            each.answer.fabric,
            facts=tuple(_amounts(each.answer, units)),
            items=(*cutting.instructions, *(each.answer.warnings or ())),
            strips=cutting.strips,
        )


def _amounts(fabric: FabricAnswer, units: str) -> Iterator[tuple[str, str]]:
    quoted = fabric.bought.quoted
    yield _("Buy"), quoted.amount.buy
    is_pre_cut = isinstance(quoted.amount, PreCutsAnswer)
    for name, method in (
        (_("By ruler"), quoted.methods.rows),
        (_("By cutter") if is_pre_cut else _("By cutter, off a roll"), quoted.methods.layout),
    ):
        if method is not None:
            yield name, _amount(method.amount, units)


def _amount(amount: LengthAnswer | PreCutsAnswer, units: str) -> str:
    if isinstance(amount, PreCutsAnswer):
        return amount.buy
    length = format_length(amount.length_mm, units)
    return _("{length} of fabric, {buy}", length=length, buy=amount.buy)
