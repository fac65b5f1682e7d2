"""A printer's paper as a cutter's bed: what is printed on it is cut by hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from marshmallow import ValidationError, fields, validate

from geometry.model.cutter import Bed, Margins
from geometry.units import MM_PER_INCH
from service.schemas.errors import unusable
from service.schemas.fields import Int

#: ISO 216, and ANSI/ASME Y14.1: width and height, mm.
PAPERS: Final = {"a4": (210.0, 297.0), "letter": (8.5 * MM_PER_INCH, 11.0 * MM_PER_INCH)}
#: What printers leave blank on each side, and what joined pages share, mm: as in the PDF format.
_BLANK, _OVERLAP = MM_PER_INCH / 4.0, 10.0
#: A bed is a paper's size if it is that to the hundredth of an inch, as it may be written, mm.
_ROUNDING: Final = 0.3
_MEMBERS: Final = ("pages_across", "pages_down")


def paper_field() -> fields.String:
    """Return the field of the paper."""
    return fields.String(
        validate=validate.OneOf(list(PAPERS)),
        metadata={
            "description": "printed at home instead of a bed: one page of this paper is the bed, "
            "less 1/4 in on each side unless margins are stated; the PDF is of the same paper"
        },
    )


def pages_field(which: str) -> Int:
    """Return the field of how many pages are joined in one direction."""
    return Int(
        validate=validate.Range(1, 12),
        metadata={
            "description": f"pages of paper joined {which}, for pieces larger than one; pieces "
            "that have room on one lie whole on one",
            "default": 1,
        },
    )


def misplaced(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield what is wrong with a cutter's bed and paper: it has one of the two."""
    if "bed" in data and "paper" in data:
        yield unusable("State either the bed or the paper.", "paper")
    if "paper" not in data:
        for name in _MEMBERS:
            if name in data:
                yield unusable("Only paper has pages: state the paper, a4 or letter.", name)


def paper_like(bed: Bed) -> str:
    """Return the paper that is as large as a bed, either way up; empty where none is."""
    size = sorted((bed.width, bed.height))
    alike = (
        name
        for name, paper in PAPERS.items()
        if all(abs(one - other) < _ROUNDING for one, other in zip(size, paper, strict=True))
    )
    return next(alike, "")


def with_bed_paper(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a pen's members with a PDF on the paper that its bed is as large as, if it is.

    The other paper would take two pages for one sheet. A stated paper holds.
    """
    bed: Bed = data["bed"]
    settings = dict(data.get("formats", {}).get("pdf", {}))
    paper = paper_like(bed)
    if "paper" in settings or bed.roll or not paper:
        return dict(data)
    pdf = {"paper": paper, **settings}
    return {**data, "formats": {**data.get("formats", {}), "pdf": pdf}}


def on_paper(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a cutter's members with bed, margins and PDF settings that its paper stands for."""
    settings = dict(data.get("formats", {}).get("pdf", {}))
    blank = float(settings.get("margin_mm", _BLANK))
    overlap = float(settings.get("overlap_mm", _OVERLAP))
    sides = [
        side + (data.get(name, 1) - 1) * (side - 2.0 * blank - overlap)
        for side, name in zip(PAPERS[data["paper"]], _MEMBERS, strict=True)
    ]
    pdf = {"paper": data["paper"], **settings}
    return {
        **data,
        "bed": Bed(*sides),
        "margins": data.get("margins", Margins(blank, blank, blank, blank)),
        "formats": {**data.get("formats", {}), "pdf": pdf},
    }
