"""The paper of a printed plan: its size and orientation, and the part of the bed on each sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from adapters.errors import CannotHoldError
from adapters.names import comment
from adapters.pages import MAX_PAGES, BedPage, pages, pages_over, touches
from adapters.repeated_shapes import RepeatedShapes
from adapters.whole_pages import PrintedPage, Size, boxes_of, groups_of, larger_than, whole_pages
from geometry.model.plan import CutPlan
from geometry.model.segments import Bounds
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

#: Width of lines, points.
LINE_POINTS = 0.7
#: Half the width of a line, mm.
HALF_LINE = LINE_POINTS / 2.0 * MM_PER_INCH / POINTS_PER_INCH
#: Sizes of paper, upright, mm.
PAPERS_MM = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
#: Largest page, mm: 14,400 points; beyond that, viewers differ.
_LARGEST_MM = 5080.0


def printed_pages(
    bed: Size, boxes: Sequence[Bounds], groups: Sequence[int] | None, values: Mapping[str, Any]
) -> tuple[Size, list[PrintedPage]]:
    """Return the paper, mm, and the pages of a bed, mm, that are not empty; at least one.

    The paper lies the way that needs fewer sheets, or joins fewer pieces where some lie whole. The
    sheets cover the whole bed from its upper left corner, or only the area of the strokes, if that
    takes fewer. (A bed as large as the paper takes one sheet, although a printer leaves its
    outermost part empty.) With ``paper`` "bed" there is one page, or several if the bed is longer
    than the largest page. Where several sheets of paper are needed, a piece that has room on one
    sheet lies whole on it.

    Raises:
        CannotHoldError: for a bed of too many pages.
    """
    margin, overlap = float(values["margin_mm"]), float(values["overlap_mm"])
    if values["paper"] == "bed":
        papers = [_longest(bed, margin)]
    else:
        paper = PAPERS_MM[values["paper"]]
        papers = [paper, paper[::-1]]
    laid, counts = [], []
    for paper in papers:
        sheet = (paper[0] - 2.0 * margin, paper[1] - 2.0 * margin)
        grids = [pages(bed, sheet, overlap)]
        if boxes and values["paper"] != "bed":
            grids.append(_over(boxes, bed, sheet, overlap))
        for count, every in grids:
            counts.append(count)
            if count <= MAX_PAGES:
                some = list(every)
                used = [page for page in some if any(touches(page.part, box) for box in boxes)]
                laid.append((paper, used or some[:1]))
    whole = [] if groups is None else _whole(bed, boxes, groups, papers, values)
    if min((len(each[1]) for each in laid), default=0) != 1 and whole:
        return min(whole, key=lambda each: _pieces_joined_and_pages(each[1]))
    if not laid:
        raise CannotHoldError(
            f"This bed takes {min(counts)} pages; at most {MAX_PAGES} can be printed. Set paper to "
            "bed.",
            format_name="pdf",
        )
    paper, shown = min(laid, key=lambda each: len(each[1]))
    return paper, [PrintedPage(page, is_joined=len(shown) > 1) for page in shown]


def _pieces_joined_and_pages(sheets: Sequence[PrintedPage]) -> tuple[int, int]:
    """Return how many pieces lie on several sheets, and how many sheets there are."""
    on = Counter(group for sheet in sheets for group in sheet.groups or ())
    return sum(count > 1 for count in on.values()), len(sheets)


def pages_of_plan(plan: CutPlan, values: Mapping[str, Any]) -> list[PrintedPage]:
    """Return the pages that a plan is drawn on, without the check page.

    Args:
        plan: of one file.
        values: of the format's settings, all of them.

    Raises:
        CannotHoldError: for a bed of too many pages.
    """
    boxes = RepeatedShapes(plan.strokes).boxes()
    bed = (plan.bed_width, plan.bed_height)
    return printed_pages(bed, boxes, groups_of(plan), values)[1]


def _whole(
    bed: Size,
    boxes: Sequence[Bounds],
    groups: Sequence[int],
    papers: Sequence[Size],
    values: Mapping[str, Any],
) -> list[tuple[Size, list[PrintedPage]]]:
    """Return, for each way of the paper, sheets on which pieces lie whole.

    Empty if the request wants all sheets joined.
    """
    if not boxes or values["paper"] == "bed" or values["joined"] == "all":
        return []
    margin = float(values["margin_mm"])
    cuts, lines = boxes_of(groups, boxes, 0.0), boxes_of(groups, boxes, HALF_LINE)
    found = []
    for paper in papers:
        size = (paper[0] - 2.0 * margin, paper[1] - 2.0 * margin)
        around = cuts | {large: lines[large] for large in larger_than(cuts, size)}
        sheets = whole_pages(around, bed, size, float(values["overlap_mm"]))
        if sheets is not None:
            found.append((paper, sheets))
    return found


def large_pieces(
    plan: CutPlan,
    boxes: Sequence[Bounds],
    groups: Sequence[int] | None,
    sheets: Sequence[PrintedPage],
) -> list[str]:
    """Return the pieces that are too large for a page; empty if the pages show the whole bed."""
    if groups is None or sheets[0].groups is None:
        return []
    part = sheets[0].page.part
    around = boxes_of(groups, boxes, 0.0)
    large = set(larger_than(around, (part.width, part.height)))
    names = [
        stroke.piece
        for group, stroke in zip(groups, plan.strokes, strict=True)
        if group in large and stroke.piece
    ]
    return [comment(name, 24) for name in dict.fromkeys(names)]


def _over(
    boxes: Sequence[Bounds], bed: tuple[float, float], sheet: tuple[float, float], overlap: float
) -> tuple[int, Iterator[BedPage]]:
    """Return the number of sheets over all strokes, and the sheets.

    Several sheets cover the strokes with the full width of their lines. On a single sheet a cut
    may lie on the edge of the margin, because the work area reaches that far; half of its line is
    then printed in the margin (``page_clip``).
    """
    box, half = Bounds.around(boxes), HALF_LINE
    count, every = pages_over(box, bed, sheet, overlap)
    if count == 1:
        return count, every
    lines = Bounds(box.left - half, box.bottom - half, box.right + half, box.top + half)
    return pages_over(lines, bed, sheet, overlap)


def page_clip(sheet: PrintedPage, margin: float) -> Bounds:
    """Return the area of a sheet, mm from its lower left corner, in which lines are printed."""
    beyond = 0.0 if sheet.is_joined else min(HALF_LINE, margin)
    width, height = sheet.page.part.width, sheet.page.part.height
    low = margin - beyond
    return Bounds(low, low, margin + width + beyond, margin + height + beyond)


def _longest(bed: tuple[float, float], margin: float) -> tuple[float, float]:
    width, height = (min(side + 2.0 * margin, _LARGEST_MM) for side in bed)
    return width, height
