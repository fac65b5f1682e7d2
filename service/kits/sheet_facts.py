"""The facts of a run on its sheet: opening, sheet, stock, sets and dies, in words."""

from __future__ import annotations

import math

from geometry.model.segments import Bounds
from service.answers.runs import RunAnswer
from service.documents.bench_units import BenchUnits
from service.documents.wording import times_text
from service.kits.bags import heap_facts
from service.kits.motifs import motif_facts, motif_figures
from service.kits.spare_piece import test_length
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.cutter_words import cutter_words
from service.runs.least_material import work_box
from service.runs.planned_run import PlannedRun
from service.runs.printing import is_printed
from service.runs.roll_cloth import edge_distance, is_drawn_off, is_narrow
from service.runs.sheet_position import bed_word
from service.runs.side_up import lies_wrong_side_up
from service.texts import gettext as _
from service.texts import ngettext
from service.tools import kind_of
from service.tools.cloth import CLOTH

#: A difference of lengths that is rounding, mm.
_ROUNDING = 1.0e-6


def _sets(run: Run) -> list[tuple[str, str]]:
    """Return how many sets are cut, and what one of them is."""
    if not run.sets or len(run.quantities) == 1:
        return []
    sets = math.gcd(*run.quantities.values())
    kinds = ", ".join(
        _("{count} of {piece}", count=count // sets, piece=piece)
        for piece, count in run.quantities.items()
    )
    return [(_("Sets"), _("{sets}, each {pieces}", sets=sets, pieces=kinds))]


def _dies(row: RunAnswer) -> list[tuple[str, str]]:
    """Return how often each die is pressed and what each press gives."""
    dies = row.dies or ()
    facts = []
    for number, die in enumerate(dies, 1):
        gives = ", ".join(
            _("{count} of {piece}", count=count, piece=piece)
            for piece, count in die.pieces_per_press.items()
        )
        which = _("Die") if len(dies) == 1 else _("Die {number}", number=number)
        text = _(
            "press it {times}; each press gives {pieces} (load {load})",
            times=times_text(die.presses),
            pieces=gives,
            load=die.load_number,
        )
        facts.append((which, text))
    return facts


def _opening(run: Run, units: BenchUnits) -> list[tuple[str, str]]:
    """Return how large the bed's opening is, and what stays free at its edges."""
    bed, margins = run.cutter.bed, run.cutter.margins
    if run.from_roll or is_printed(run):
        return []
    parts = [units.size(Bounds(0.0, 0.0, bed.width, bed.height))]
    if bed.boundary is not None:
        parts[0] = _("{size} at its widest, of the shape in the pictures", size=parts[0])
    sides = (margins.left, margins.right, margins.top, margins.bottom)
    left, right, top, bottom = (units.length(each) for each in sides)
    if len(set(sides)) > 1:
        parts.append(
            _(
                "kept free: {left} left, {right} right, {top} top, {bottom} bottom",
                left=left,
                right=right,
                top=top,
                bottom=bottom,
            )
        )
    elif margins.left:
        parts.append(_("{length} kept free on every side", length=left))
    if bed.keep_outs:
        parts.append(
            ngettext(
                "{n} place to keep clear of, dark in the pictures",
                "{n} places to keep clear of, dark in the pictures",
                len(bed.keep_outs),
            )
        )
    return [(_(bed_word(run)).capitalize(), "; ".join(parts))]


def _roll(kit: Kit, run: Run, row: RunAnswer, units: BenchUnits) -> list[tuple[str, str]]:
    """Return how wide the roll is, how much to draw off it, and where its selvedges lie."""
    roll = row.roll
    if roll is None or not is_drawn_off(run):
        return []
    width = units.written(roll.width_mm)
    is_cloth = run.material.kind in CLOTH
    if is_cloth and is_narrow(run):
        width = _("{width} wide, without selvedges", width=width)
    elif is_cloth:
        width = _("{width} wide, selvedges included", width=width)
    else:
        width = _("{width} wide", width=width)
    text = _("{width}; draw off {length} in all", width=width, length=units.enough(roll.length_mm))
    if run.layers > 1:
        text = _("{lengths} for each of the {layers} layers", lengths=text, layers=run.layers)
    if len(row.loads) > 1:
        each = ", ".join(
            _load_length(one.number, one.repeats, units.enough(one.length_mm or 0.0))
            for one in row.loads
        )
        text = f"{text} ({each})"
    text = _(
        "{lengths}, margins included, and {length} more for the test",
        lengths=text,
        length=units.enough(test_length(kit, run)),
    )
    return [(_("Roll"), f"{text}{_long_edges(run, units) if is_cloth else ''}")]


def _long_edges(run: Run, units: BenchUnits) -> str:
    """Return how far pieces stay from the long edges of cloth off a roll, and what lies there."""
    kept = edge_distance(run)
    if kept < _ROUNDING:
        return ""
    words = (
        _("no piece lies within {length} of its long edges", length=units.written(kept))
        if is_narrow(run)
        else _(
            "no piece lies within {length} of its long edges, where the selvedges are",
            length=units.written(kept),
        )
    )
    return f"; {words}"


def _load_length(number: int, repeats: int, length: str) -> str:
    if repeats == 1:
        return _("load {number}: {length}", number=number, length=length)
    return _(
        "load {number}: {repeats} times {length}", number=number, repeats=repeats, length=length
    )


def _layers(kit: Kit, run: Run) -> list[tuple[str, str]]:
    if run.layers == 1:
        return []
    if run.stack != "face_up":
        side = _("face to face")
    elif run.material.kind not in CLOTH:
        side = _("face up")
    else:
        side = _("wrong side up") if lies_wrong_side_up(kit, run) else _("right side up")
    text = _("{layers} at once, {side}", layers=run.layers, side=side)
    return [(_("Layers"), text)]


def run_facts(
    kit: Kit, planned: PlannedRun, row: RunAnswer, units: BenchUnits
) -> list[tuple[str, str]]:
    """Return labels and texts of the facts that a person needs before preparing a run."""
    run = planned.run
    return [
        (_("Cutter"), cutter_words(run)),
        *heap_facts(run),
        *_opening(run, units),
        *([] if planned.parts else _roll(kit, run, row, units)),
        *motif_facts(planned, kit.units),
        *_layers(kit, run),
        *_sets(run),
        *_dies(row),
    ]


def run_figures(kit: Kit, planned: PlannedRun, units: BenchUnits) -> list[tuple[str, str]]:
    """Return labels and texts of the figures that only the office may need."""
    run = planned.run
    cutter, kind = run.cutter, kind_of(run.cutter.tool)
    area = units.size(work_box(run))
    room = area if run.area.is_rectangle else _("within {size}", size=area)
    return [
        *([] if planned.parts or run.from_roll else [(_("Work area"), room)]),
        (_("Gap"), kind.gap_words(cutter.tool, run.gap, units.length)),
        *([(_("Common lines"), _("edges that meet are cut once"))] if run.common_line else []),
        *(
            [
                (
                    _("Sheet's edges"),
                    _(
                        "pieces at least {length} from them",
                        length=units.length(run.sheet.clearance),
                    ),
                )
            ]
            if run.sheet is not None
            else []
        ),
        *motif_figures(planned),
        (_("Times count"), kind.time_words(cutter, cutter.tool, kit.units)),
    ]
