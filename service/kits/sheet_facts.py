"""The facts of a run on its sheet: opening, sheet, stock, sets and dies, in words."""

from __future__ import annotations

import math
from functools import partial

from geometry import units as lengths
from geometry.model.segments import Bounds
from service.answers.runs import RunAnswer
from service.kits.bags import heap_facts
from service.kits.cutter_settings import settings_facts
from service.kits.motifs import motif_facts
from service.kits.stock import stock_words
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.loads import PlannedRun
from service.runs.sheet_position import bed_word, has_place, position_words
from service.tools import kind_of

#: A size this near to whole sixteenths is told without "about", mm.
_EXACT = 1e-6
#: The finest fraction of an inch for small lengths, and how near to it they are it, mm: they may
#: be rounded to hundredths.
_RULER, _NEAR = 32, 2e-3


_MM_PER_CM = lengths.UNIT_MM["cm"]


def bench_length(mm: float, units: str) -> str:
    """Return a small length in the request's units, in inches with millimetres beside them.

    Less than a millimetre is no length in centimetres.
    """
    if not mm:
        return f"0 {units}"
    if units == "cm" and mm >= 1.0:
        return f"{lengths.format_decimal(mm / _MM_PER_CM, 3)} cm"
    if units != "in":
        return f"{mm:g} mm"
    near = lengths.format_fraction(mm, _RULER)
    if abs(lengths.parse_length(near, "in") - mm) < _NEAR:
        return f"{near} in ({mm:g} mm)"
    return f"{lengths.format_decimal(mm / lengths.MM_PER_INCH, 3)} in ({mm:g} mm)"


def size_words(box: Bounds, units: str) -> str:
    """Return a box's size in the request's units, in inches with millimetres beside them."""
    if units == "cm":
        return f"{box.width / _MM_PER_CM:.3f} x {box.height / _MM_PER_CM:.3f} cm"
    if units != "in":
        return f"{box.width:.2f} x {box.height:.2f} mm"
    sides = (box.width, box.height)
    near = " x ".join(lengths.format_fraction(side) for side in sides)
    exact = " x ".join(lengths.format_decimal(side / lengths.MM_PER_INCH) for side in sides)
    if all(
        abs(lengths.parse_length(lengths.format_fraction(side), "in") - side) < _EXACT
        for side in sides
    ):
        return f"{near} in ({box.width:.2f} x {box.height:.2f} mm)"
    return f"about {near} in, exactly {exact} in ({box.width:.2f} x {box.height:.2f} mm)"


def _sets(run: Run) -> list[tuple[str, str]]:
    """Return how many sets are cut, and what one of them is."""
    if not run.sets or len(run.quantities) == 1:
        return []
    sets = math.gcd(*run.quantities.values())
    kinds = ", ".join(f"{count // sets} of {piece}" for piece, count in run.quantities.items())
    return [("Sets", f"{sets}, each {kinds}")]


def _dies(row: RunAnswer) -> list[tuple[str, str]]:
    """Return how often each die is pressed and what each press gives."""
    dies = row.dies or ()
    facts = []
    for number, die in enumerate(dies, 1):
        gives = ", ".join(f"{count} of {piece}" for piece, count in die.pieces_per_press.items())
        which = "Die" if len(dies) == 1 else f"Die {number}"
        times = "once" if die.presses == 1 else f"{die.presses} times"
        facts.append(
            (which, f"press it {times}; each press gives {gives} (load {die.load_number})")
        )
    return facts


def _opening(run: Run, row: RunAnswer, units: str) -> list[tuple[str, str]]:
    """Return how large the bed's opening is, and what stays free at its edges.

    A roll has a row of its own instead.
    """
    bed, margins = run.cutter.bed, run.cutter.margins
    if row.roll is not None:
        return []
    shape = "" if bed.boundary is None else ", not a rectangle"
    text = f"{size_words(Bounds(0.0, 0.0, bed.width, bed.height), units)}{shape}"
    sides = {name: getattr(margins, name) for name in ("left", "right", "top", "bottom")}
    if len(set(sides.values())) > 1:
        each = (f"{bench_length(free, units)} {name}" for name, free in sides.items())
        text += f"; kept free: {', '.join(each)}"
    elif margins.left:
        text += f"; {bench_length(margins.left, units)} kept free on every side"
    if bed.keep_outs:
        places = "1 place" if len(bed.keep_outs) == 1 else f"{len(bed.keep_outs)} places"
        text += f"; {places} to keep clear of, grey in the pictures"
    return [(bed_word(run).capitalize(), text)]


def _lying(planned: PlannedRun, units: str) -> list[tuple[str, str]]:
    """Return how large the sheet is and where it lies on the bed."""
    run = planned.run
    if run.sheet is None or not has_place(run):
        return []
    words = f"its lower left corner {position_words(run, units)}"
    clear = bench_length(run.sheet.clearance, units)
    text = f"{size_words(run.sheet.box, units)}; {words}; pieces at least {clear} from its edges"
    return [("Sheet", text)]


def _room(row: RunAnswer, box: Bounds, units: str, *, rectangle: bool) -> tuple[str, str]:
    """Return how large the work area is, or how much to draw off the roll."""
    roll = row.roll
    if roll is None:
        return "Work area", ("" if rectangle else "within ") + size_words(box, units)

    def length(mm: float) -> str:
        return lengths.format_length(mm, units)

    def times(repeats: int) -> str:
        return f"{repeats} times " if repeats > 1 else ""

    text = f"{length(roll.width_mm)} wide; draw off {length(roll.length_mm)} in all"
    if len(row.loads) > 1:
        each = (
            f"load {one.number}: {times(one.repeats)}{length(one.length_mm or 0.0)}"
            for one in row.loads
        )
        text += f" ({', '.join(each)})"
    return "Roll", f"{text}, margins included"


def run_facts(kit: Kit, planned: PlannedRun, row: RunAnswer) -> list[tuple[str, str]]:
    """Return label and text of each fact of a run."""
    run, box = planned.run, planned.run.area.bounds
    cutter, kind = run.cutter, kind_of(run.cutter.tool)
    facts = [
        ("Cut", f"{run.cut} outlines from {run.material.name}"),
        *heap_facts(run),
        ("Cutter", f"{cutter.name or 'as stated'}: {kind.words}"),
        *_opening(run, row, kit.units),
        *_lying(planned, kit.units),
        (
            ("Stock", stock_words(planned, kit.units))
            if planned.parts
            else _room(row, box, kit.units, rectangle=run.area.is_rectangle)
        ),
        ("Gap", kind.gap_words(cutter.tool, run.gap, partial(bench_length, units=kit.units))),
        *([("Common lines", "edges that meet are cut once")] if run.common_line else []),
        *settings_facts(run, kit.units, lambda mm: bench_length(mm, kit.units)),
        *motif_facts(planned, kit.units),
    ]
    facts.append(("Times count", kind.time_words(cutter, cutter.tool, kit.units)))
    if run.layers > 1:
        facts.append(("Layers", f"{run.layers} at once, {run.stack.replace('_', ' ')}"))
    facts.extend(_sets(run))
    facts.extend(_dies(row))
    return facts
