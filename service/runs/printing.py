"""Runs printed on pages of paper: their pieces laid out so that few pages are printed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from adapters import registry
from adapters.contract import resolved
from adapters.pdf_pages import PAPERS_MM, printed_pages
from adapters.whole_pages import PrintedPage
from geometry.layout import Item, Layout
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load
from service.requests.printed_paper import paper_like
from service.requests.runs import Run
from service.runs.layout_step import LaidOutRun, lay
from service.tools import kind_of
from service.tools.layouts import LayoutSearch

#: Materials that go through a printer.
_PAPERS = frozenset({"paper", "card", "coated_paper"})
PagesOf = Callable[[Load], Sequence[PrintedPage]]


def is_printed(run: Run) -> bool:
    """Return whether a run is printed on pages of paper that are cut by hand."""
    return (
        tuple(run.formats) == ("pdf",)
        and run.sheet is None
        and run.material.kind in _PAPERS
        and kind_of(run.cutter.tool).is_cut_by_hand
    )


def print_settings(run: Run) -> Mapping[str, Any]:
    """Return all settings of a run's PDF.

    Raises:
        adapters.errors.SettingError: when one that is stated cannot be used.
    """
    return resolved(registry.get("pdf").settings, run.cutter.formats.get("pdf", {}), "pdf")


def printer_paper(run: Run) -> str:
    """Return the paper of a run's PDF: ``letter``, ``a4`` or ``bed``."""
    return str(print_settings(run)["paper"])


def home_paper(run: Run) -> str:
    """Return the printer's paper that is the bed of a run cut by hand; empty where none is.

    Its sheets are whole pages of that paper, not pieces as large as what the margins leave.
    """
    if run.sheet is not None or not kind_of(run.cutter.tool).is_cut_by_hand:
        return ""
    paper = paper_like(run.cutter.bed)
    is_page = paper == printer_paper(run) and run.material.kind in _PAPERS
    return paper if is_page else ""


def goes_through_printer(run: Run) -> bool:
    """Return whether a run's sheets go through a printer, whatever else its files are for."""
    return is_printed(run) or (bool(home_paper(run)) and "pdf" in run.formats)


@dataclass(frozen=True)
class _Sorted:
    """Loads with what lies on joined pages, and how many of each piece do not.

    ``at`` are the numbers of these loads in the layout they come from.
    """

    kept: tuple[Load, ...]
    at: tuple[int, ...]
    single: Mapping[str, int]


def on_few_pages(
    laid: LaidOutRun, items: Sequence[Item], run: Run, search: LayoutSearch
) -> LaidOutRun:
    """Return a layout that is printed on fewer pages, if one is found; otherwise the given one.

    A load of joined pages has room for small pieces across their joins too, and each of those
    takes pages of its own. They are laid out on single pages instead.
    """
    values = print_settings(run)
    joins_lines = run.common_line and run.gap <= 0.0
    if not is_printed(run) or values["paper"] == "bed" or joins_lines or run.sets or run.anchors:
        return laid
    outlines = {item.piece: item.outline for item in items}
    bed = (run.cutter.bed.width, run.cutter.bed.height)

    def pages_of(load: Load) -> list[PrintedPage]:
        boxes = [each.move.outline(outlines[each.piece]).bounds for each in load.placements]
        return printed_pages(bed, boxes, range(len(boxes)), values)[1]

    def page_count(layout: Layout) -> int:
        return sum(len(pages_of(each)) * each.repeats for each in layout.loads)

    parts = _sorted(laid.layout.loads, pages_of)
    best, fewest = laid, page_count(laid.layout)
    for room in _single_pages(laid.room, values):
        singles = _on_single_pages(parts.single, items, run, room, search)
        if singles is None:
            continue
        layout = _together(laid.layout, parts, outlines, singles)
        if (pages := page_count(layout)) < fewest:
            best, fewest = replace(laid, layout=layout), pages
    return best


def _sorted(loads: Sequence[Load], pages_of: PagesOf) -> _Sorted:
    kept, at, single = list[Load](), list[int](), Counter[str]()
    for number, load in enumerate(loads):
        on_joined = {
            group for page in pages_of(load) if page.is_joined for group in page.groups or ()
        }
        here = tuple(each for index, each in enumerate(load.placements) if index in on_joined)
        if here:
            kept.append(Load(here, load.repeats))
            at.append(number)
        for piece, count in load.outlines.items():
            left = count - sum(each.piece == piece for each in here)
            single[piece] += left * load.repeats
    return _Sorted(tuple(kept), tuple(at), single)


def _single_pages(room: WorkArea, values: Mapping[str, object]) -> Iterator[WorkArea]:
    """Yield what a page shows, upright and across, in the corner of a room that is larger."""
    box, margin = room.bounds, float(str(values["margin_mm"]))
    paper = PAPERS_MM[str(values["paper"])]
    for width, height in (paper, paper[::-1]):
        size = (min(width - 2.0 * margin, box.width), min(height - 2.0 * margin, box.height))
        if size != (box.width, box.height) and room.is_rectangle:
            yield WorkArea.rectangle(box.left, box.bottom, *size)


def _on_single_pages(
    single: Mapping[str, int],
    items: Sequence[Item],
    run: Run,
    room: WorkArea,
    search: LayoutSearch,
) -> Layout | None:
    """Return loads of one page each; ``None`` if there are none."""
    some = [replace(item, quantity=single[item.piece]) for item in items if single.get(item.piece)]
    if not some:
        return None
    return lay(some, run, room, replace(search, progress=None))


def _together(
    layout: Layout, parts: _Sorted, outlines: Mapping[str, Outline], singles: Layout
) -> Layout:
    """Return loads of joined pages, and after them those of one page."""

    def covered(load: Load) -> float:
        return sum(area(outlines[piece]) * count for piece, count in load.outlines.items())

    shares = [
        layout.utilisation[number] * covered(load) / covered(layout.loads[number])
        for number, load in zip(parts.at, parts.kept, strict=True)
    ]
    return replace(
        layout,
        loads=(*parts.kept, *singles.loads),
        complete=layout.complete and singles.complete,
        utilisation=(*shares, *singles.utilisation),
        # What a load takes with more on it: no strip of printed paper is kept.
        used=(*(layout.used[number] for number in parts.at), *singles.used),
        offcuts=(),
    )
