"""The sheet for cutting by hand: what to buy of each fabric, and how to cut it, with drawings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from geometry.units import format_length
from service.documents.page import Page, Section
from service.quilts.cutting import Cutting
from service.quilts.plan import planned
from service.quilts.yardage import fabrics_of
from service.requests.quilt_plans import QuiltSpec
from service.requests.yardage import YardageRequest

_TITLE = "Cutting by hand"
#: Longer numbers in names of fabrics are not counted up.
_DIGITS = 9
_METHODS = {"rows": "By ruler", "layout": "By cutter"}


def yardage_sheet(request: YardageRequest) -> Page:
    """Return the sheet for the fabrics of pieces.

    Raises:
        RequestError: with every error of the request.
    """
    units = request.units or ("mm" if request.fabric.unit == "m" else "in")
    fabrics = fabrics_of(request)
    return Page(_TITLE, _paper(units), (_cautions(fabrics), *_fabrics(fabrics, units)))


def plan_sheet(spec: QuiltSpec) -> Page:
    """Return the sheet for a planned quilt.

    Raises:
        RequestError: with every error of the request.
    """
    plan = planned(spec)
    materials = plan["materials"]
    fabrics = sorted(materials["fabrics"], key=lambda each: _as_counted(each["fabric"]))
    sections = [
        _cautions(fabrics),
        Section("Quilt", facts=tuple(_quilt(plan, spec.units, spec.kits))),
        *_fabrics(fabrics, spec.units),
        Section("Finishing", facts=tuple(_finishing(materials, spec.units))),
    ]
    if plan["warnings"]:
        sections.append(Section("Warnings", items=tuple(plan["warnings"])))
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


def _cautions(fabrics: Sequence[Mapping[str, Any]]) -> Section:
    """Return the cautions; they come before anything to be done."""
    cuttings: list[Cutting] = [each["cutting"] for each in fabrics]
    lines = dict.fromkeys(line for each in cuttings for line in each.cautions)
    return Section("Cautions", items=tuple(lines))


def _quilt(plan: Mapping[str, Any], units: str, kits: int) -> Iterator[tuple[str, str]]:
    yield "Size", _by(plan["assembled"]["width_mm"], plan["assembled"]["length_mm"], units)
    yield "Pieces", f"{plan['totals']['pieces']:,}"
    if kits > 1:
        yield "Kits", f"{kits}; fabrics are for all of them"


def _fabrics(fabrics: Sequence[Mapping[str, Any]], units: str) -> Iterator[Section]:
    for each in fabrics:
        cutting: Cutting = each["cutting"]
        yield Section(
            each["fabric"],
            facts=tuple(_amounts(each, units)),
            items=(*cutting.instructions, *each.get("warnings", ())),
            strips=cutting.strips,
        )


def _amounts(fabric: Mapping[str, Any], units: str) -> Iterator[tuple[str, str]]:
    yield "Buy", fabric["buy"]
    for name, amount in fabric["methods"].items():
        text = amount["buy"]
        if "length_mm" in amount:
            text = f"{format_length(amount['length_mm'], units)} of fabric, {text}"
        yield _METHODS[name], text


def _finishing(materials: Mapping[str, Any], units: str) -> Iterator[tuple[str, str]]:
    binding, backing = materials["binding"], materials["backing"]
    strip = format_length(binding["strip_mm"], units)
    yield "Binding", f"{binding['buy']}: {binding['strips']} strips {strip} x width of fabric"
    panels = "1 panel" if backing["panels"] == 1 else f"{backing['panels']} panels"
    yield "Backing", f"{backing['buy']}: {panels}, seams {backing['seams']}"
    batting = materials["batting"]
    yield "Batting", _by(batting["width_mm"], batting["length_mm"], units)


def _by(width: float, length: float, units: str) -> str:
    return f"{format_length(width, units)} x {format_length(length, units)}"
