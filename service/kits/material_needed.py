"""What to lay out before a run is cut: how many sheets or pieces of cloth, how large."""

from __future__ import annotations

from collections.abc import Mapping

from adapters.pdf_pages import PAPERS_MM
from geometry.model.outline import Chain
from geometry.model.segments import Bounds
from geometry.units import MM_PER_INCH, round_up
from service.answers.places import ClothAnswer
from service.answers.runs import RunAnswer
from service.documents.bench_units import BenchUnits
from service.kits.files import printed_sheets
from service.kits.spare_piece import spare_sides, takes_whole_pieces
from service.kits.stock import stock_words
from service.kits.stock_for_test import spare_of_stock
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.frames import grip_mm, gripped_box, ruler_mark_mm
from service.runs.least_material import least_box, work_box
from service.runs.planned_run import PlannedRun
from service.runs.printing import goes_through_printer, home_paper, printer_paper
from service.runs.roll_cloth import is_drawn_off
from service.runs.sheet_position import bed_word, has_place, trimmed
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.texts import ngettext
from service.tools import kind_of
from service.tools.cloth import CLOTH

#: What papers of printers are called; a bed of its own size has no name.
_PAPER_WORDS = {"a4": _later("A4"), "letter": _later("letter size")}
_PAST_RULES_IN, _PAST_RULES_MM = MM_PER_INCH / 4.0, 6.0
_SHEETS = frozenset({"paper", "card", "coated_paper", "vinyl"})


def material_needed(
    kit: Kit, planned: PlannedRun, row: RunAnswer, units: BenchUnits
) -> tuple[str, ...]:
    """Return how many pieces of a run's material to get ready, and their size.

    Of a roll nothing is cut beforehand: what to draw off is a fact of the run.
    """
    run = planned.run
    paper = home_paper(run)
    if goes_through_printer(run):
        return (_printed(planned, paper or printer_paper(run), units),)
    if planned.parts:
        taken = _("Take from the stock: {sheets}.", sheets=stock_words(planned, units))
        return (f"{taken} {_spare(kit, run, units)} {spare_of_stock(kit, planned, units)}",)
    if is_drawn_off(run):
        return (f"{_spare(kit, run, units)} {_cloth(row, units)}".rstrip(),)
    sentences = (
        _sheets(planned, paper, units),
        _spare(kit, run, units),
        _cloth(row, units),
    )
    return (" ".join(each for each in sentences if each),)


def _cloth(row: RunAnswer, units: BenchUnits) -> str:
    """Return how much cloth to buy for a run and its test; empty where none is bought."""
    if row.bought is None:
        return ""
    buy, width_mm = row.bought
    words = _("To buy: {buy} of cloth {width} wide.", buy=buy, width=units.written(width_mm))
    return words if row.cloth is None else f"{words} {_lying(row.cloth, units)}"


def _lying(cloth: ClothAnswer, units: BenchUnits) -> str:
    """Return how pieces are cut from the cloth that is bought."""
    sides = {
        "across": units.written(cloth.piece_width_mm),
        "along": units.written(cloth.piece_length_mm),
    }
    if cloth.turned is not None:
        turned = {"across": sides["along"], "along": sides["across"]}
        return _(
            "Cut from it {first}, then {second}.",
            first=_rows(cloth.rows, cloth.per_row, sides),
            second=_rows(cloth.turned.rows, cloth.turned.per_row, turned),
        )
    if min(cloth.per_row, cloth.pieces) == 1:
        return _("Cut it from this {across} across the cloth and {along} along it.", **sides)
    return _(
        "Cut from it {n} side by side, each {across} across the cloth and {along} along it.",
        n=min(cloth.per_row, cloth.pieces),
        **sides,
    )


def _rows(rows: int, per_row: int, sides: Mapping[str, str]) -> str:
    return ngettext(
        "{n} row of {pieces}, each {across} across the cloth and {along} along it",
        "{n} rows of {pieces}, each {across} across the cloth and {along} along it",
        rows,
        pieces=per_row,
        **sides,
    )


def _spare(kit: Kit, run: Run, units: BenchUnits) -> str:
    """Return what is kept for the test cut, which no count of sheets holds.

    Where the test takes pieces of the full size, that many more are kept.
    """
    if takes_whole_pieces(run):
        return ngettext(
            "Keep {n} more of that size for the test.",
            "Keep {n} more of that size for the test.",
            run.layers,
        )
    size = " x ".join(units.enough(side) for side in spare_sides(kit, run))
    if run.material.kind not in CLOTH:
        return ngettext(
            "Keep a spare piece for the test, at least {size}.",
            "Keep {n} spare pieces for the test, each at least {size}.",
            run.layers,
            size=size,
        )
    return ngettext(
        "Keep a spare piece for the test, prepared alike, at least {size}.",
        "Keep {n} spare pieces for the test, prepared alike, each at least {size}.",
        run.layers,
        size=size,
    )


def _sheets(planned: PlannedRun, paper: str, units: BenchUnits) -> str:
    """Return how many sheets or pieces of cloth to get ready, and how large."""
    run = planned.run
    loads = sum(load.load.repeats for load in planned.loads)
    count = loads * run.layers
    name = run.material.name if run.material.is_named else _("material")
    what = (
        ngettext("{n} sheet of {material}", "{n} sheets of {material}", count, material=name)
        if run.material.kind in _SHEETS or (has_place(run) and run.material.kind not in CLOTH)
        else ngettext("{n} piece of {material}", "{n} pieces of {material}", count, material=name)
    )
    size = _paper_words(paper, name, units) if paper else _size(planned, units, count)
    what = f"{what}, {size}"
    if run.layers > 1:
        why = ngettext("{n} load", "{n} loads", loads)
        return _(
            "Get ready {what}: {loads} of {layers} layers.",
            what=what,
            loads=why,
            layers=run.layers,
        )
    if loads == 1:
        return _("Get ready {what}.", what=what)
    return _("Get ready {what}: one for each load.", what=what)


def _paper_words(paper: str, name: str, units: BenchUnits) -> str:
    """Return a printer's paper by its name, unless the material's has it, and its size."""
    size = units.ruler_size(Bounds(0.0, 0.0, *PAPERS_MM[paper]))
    words = _(_PAPER_WORDS[paper])
    return f"({size})" if words.lower() in name.lower() else f"{words} ({size})"


def _printed(planned: PlannedRun, paper: str, units: BenchUnits) -> str:
    """Return how many sheets go through the printer, with the check page of each file once."""
    sheets, name = printed_sheets(planned), planned.run.material.name
    material = _("paper") if name in {"", "other"} else name
    words = _paper_words(paper, material, units) if paper in _PAPER_WORDS else ""
    if words:
        material = f"{material} {words}" if words.startswith("(") else f"{material}, {words},"
    return ngettext(
        "Lay {n} sheet of {material} into the printer, with the check page of each file once.",
        "Lay {n} sheets of {material} into the printer, with the check page of each file once.",
        sheets,
        material=material,
    )


def _size(planned: PlannedRun, units: BenchUnits, count: int) -> str:
    run = planned.run
    if run.sheet is not None and has_place(run):
        size = units.size(run.sheet.box)
        across = abs(run.sheet.width - run.sheet.height) > ruler_mark_mm("mm")
        if (rest := trimmed(run)) is not None:
            size = _("{size}, trimmed to {rest}", size=size, rest=units.size(rest.box))
            across = True
        return _("{size} (across x up the picture)", size=size) if across else size
    kind = kind_of(run.cutter.tool)
    box = material_box(planned, units.first)
    if kind.grips_edges and box is not None:
        return ngettext(
            "{size} or larger, so that the {bed} grips {grip} on every side of its opening",
            "each {size} or larger, so that the {bed} grips {grip} on every side of its opening",
            count,
            bed=_(bed_word(run)),
            size=_across(box, _without_selvedges(run, units.size(box))),
            grip=units.length(grip_mm(units.first)),
        )
    if kind.is_pressed and box is not None:
        return ngettext(
            "{size} (across x up the picture), so that it reaches past all rules",
            "each {size} (across x up the picture), so that it reaches past all rules",
            count,
            size=_without_selvedges(run, units.size(box)),
        )
    box = box or work_box(run)
    size = _across(box, _without_selvedges(run, units.size(box)))
    return ngettext("{size} or larger", "each {size} or larger", count, size=size)


def _across(box: Bounds, size: str) -> str:
    """Return a size, with the words which side is which where its sides differ."""
    if abs(box.width - box.height) <= ruler_mark_mm("mm"):
        return size
    return _("{size} (across x up the picture)", size=size)


def _without_selvedges(run: Run, size: str) -> str:
    """Return a size, of cloth with the words that selvedges are cut off before it is measured."""
    return _("{size} without selvedges", size=size) if run.material.kind in CLOTH else size


def material_box(planned: PlannedRun, units: str) -> Bounds | None:
    """Return what each piece of material has to cover, mm, where no sheet of it is stated.

    Cloth that a frame grips reaches past its opening; what a die cuts covers all its rules; other
    material covers the work area and what is kept free at its edges. None for rolls, stocks and
    printed pages.

    Args:
        planned: the run.
        units: of the request; they say to which mark of a ruler a size is rounded up.
    """
    run = planned.run
    kind, bed = kind_of(run.cutter.tool), run.cutter.bed
    if run.from_roll or planned.parts or (run.sheet is not None and has_place(run)):
        return None
    if kind.grips_edges:
        return gripped_box(bed, units)
    return _rules(planned, units) if kind.is_pressed else least_box(run, units)


def _rules(planned: PlannedRun, units: str) -> Bounds:
    """Return a box that reaches past a die's rules on all sides, up to the next mark of a ruler.

    A rule stands on its line, so half its thickness reaches past it. Cloth laid by hand needs 1/4
    in or 6 mm more on each side: common practice, no source.
    """
    strokes = [
        [Chain(stroke.vertices).bounds for stroke in load.planned.plan.strokes]
        for load in planned.loads
    ]
    wide = max(max(b.right for b in each) - min(b.left for b in each) for each in strokes)
    high = max(max(b.top for b in each) - min(b.bottom for b in each) for each in strokes)
    tool = planned.run.cutter.tool
    rule = 2.0 * kind_of(tool).reach(tool).cut
    more = rule + 2.0 * (_PAST_RULES_IN if units == "in" else _PAST_RULES_MM)
    wide, high = wide + more, high + more
    mark = ruler_mark_mm(units)
    return Bounds(0.0, 0.0, round_up(wide, mark), round_up(high, mark))
