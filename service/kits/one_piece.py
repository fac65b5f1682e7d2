"""From which file a test's single piece is cut, and where its spare material lies."""

from __future__ import annotations

import math

from geometry.model.segments import Bounds
from service.kits.bench_steps import files_apart
from service.kits.spare_piece import spare_sides
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.planned_run import PlannedLoad, PlannedRun
from service.runs.sheet_position import has_place, trimmed
from service.texts import gettext as _
from service.tools import kind_of

#: What of a spare piece has to lie beyond the piece that is cut from it, mm. Common practice, no
#: source.
_BEYOND = 2.0


def test_file(kit: Kit, planned: PlannedRun, piece: str) -> str:
    """Return from which file a single piece is cut, and where the spare material lies.

    Empty if no load has an outline of its own of the piece.
    """
    loads = [load for load in planned.loads if piece in load.load.outlines]
    if not loads:
        return ""
    alone = next((load for load in loads if len(load.load.placements) == 1), None)
    if alone is not None:
        if _has_parts(planned, alone):
            return _("Use the files of load {number}, in turn.", number=alone.number)
        return _("Use the file of load {number}.", number=alone.number)
    if planned.run.common_line:
        return _recut(planned, loads[0])
    load = loads[0]
    words = (
        _(
            "Its files: a recut of one from the office, or those of load {number} in turn, all but "
            "the lower left {piece} deleted in each (not saved)."
        )
        if _has_parts(planned, load)
        else _(
            "Its file: a recut of one from the office, or load {number}, all but its lower left "
            "{piece} deleted (not saved)."
        )
    )
    return f"{words.format(number=load.number, piece=piece)} {_laid(kit, planned, load, piece)}"


def _recut(planned: PlannedRun, load: PlannedLoad) -> str:
    """Return that only a recut gives a single piece: lines in common belong to several."""
    words = (
        _("Its files: a recut of one from the office.")
        if _has_parts(planned, load)
        else _("Its file: a recut of one from the office.")
    )
    if planned.run.layers == 1:
        return f"{words} {_('Its own sheet says where the spare piece lies.')}"
    return f"{words} {_('Its own sheet says where the spare stack lies.')}"


def _has_parts(planned: PlannedRun, load: PlannedLoad) -> bool:
    """Return whether a load has several files, one after the other."""
    return bool(files_apart(planned.part_of(load).run, load))


def _laid(kit: Kit, planned: PlannedRun, load: PlannedLoad, piece: str) -> str:
    """Return where the spare material lies under the only piece that is cut of a load."""
    run = planned.part_of(load).run
    if kind_of(run.cutter.tool).grips_edges and not run.from_roll:
        return _("Load the spare material as that load is.")
    spare = _("spare piece") if run.layers == 1 else _("spare stack")
    corner = _corner(run)
    if corner is not None and _is_held(kit, run, _nearest(kit, run, load, piece, corner), corner):
        return _("Lay the {spare}'s corner where the load's lies.", spare=spare)
    return _("Lay the {spare} under that one.", spare=spare)


def _corner(run: Run) -> tuple[float, float] | None:
    """Return where on the bed a load's lower left corner lies, mm; none where nobody knows."""
    if run.from_roll:
        return 0.0, 0.0 if run.sheet is None else run.sheet.y
    sheet = trimmed(run) or run.sheet
    if sheet is None or sheet.outline is not None or not has_place(run):
        return None
    return sheet.x, sheet.y


def _nearest(
    kit: Kit, run: Run, load: PlannedLoad, piece: str, corner: tuple[float, float]
) -> Bounds:
    """Return the box of the outline of a piece that lies nearest a corner, mm."""
    outline = kit.pieces[piece].region(run.cut).outline
    boxes = (
        each.move.outline(outline).bounds for each in load.load.placements if each.piece == piece
    )
    return min(boxes, key=lambda box: math.dist((box.left, box.bottom), corner))


def _is_held(kit: Kit, run: Run, box: Bounds, corner: tuple[float, float]) -> bool:
    """Return whether a box lies on the spare piece whose lower left corner is at a corner."""
    wide, high = spare_sides(kit, run)
    x, y = corner
    return (
        min(box.left - x, box.bottom - y) >= 0.0
        and box.right - x <= wide - _BEYOND
        and box.top - y <= high - _BEYOND
    )
