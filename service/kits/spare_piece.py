"""The spare piece that a test cut takes: its size, and its length of a roll."""

from __future__ import annotations

import math

from geometry.model.segments import Bounds
from service.kits.stock import taken_length
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.planned_run import PlannedRun
from service.runs.roll_cloth import cloth_width, is_drawn_off
from service.tools import kind_of

#: Room about a test piece on each side, mm. Common practice, no source.
_ABOUT_A_TEST = 12.0


def takes_whole_pieces(run: Run) -> bool:
    """Return whether the test takes pieces of the loads' full size, one for each layer.

    A frame grips only cloth that is large enough, and under a press all rules need some.
    """
    kind = kind_of(run.cutter.tool)
    return (kind.grips_edges or kind.is_pressed) and not run.from_roll


def length_with_test(kit: Kit, planned: PlannedRun) -> float:
    """Return how much of a roll the loads take in all their layers, with the test, mm.

    Of pieces of stated size it is their whole lengths.
    """
    run = planned.run
    if is_drawn_off(run) or run.sheet is None:
        total = taken_length(planned)
    else:
        loads = sum(load.load.repeats for load in planned.loads)
        total = run.sheet.width * loads * run.layers
    return total + test_length(kit, run)


def test_length(kit: Kit, run: Run) -> float:
    """Return how much of a roll the test takes beside the loads, mm: a spare piece for each layer.

    The longer side of each goes along the roll, as many as fit side by side across it.
    """
    return test_rows(kit, run, cloth_width(run)) * max(spare_sides(kit, run))


def test_rows(kit: Kit, run: Run, width: float) -> int:
    """Return how many rows across a roll of a width hold a spare piece for each layer."""
    side = max(spare_sides(kit, run))
    return math.ceil(run.layers / max(1, math.floor(width / side)))


def _first(kit: Kit, run: Run) -> Bounds:
    """Return the box of the piece that a test cuts."""
    return kit.pieces[next(iter(run.quantities))].region(run.cut).outline.bounds


def spare_sides(kit: Kit, run: Run) -> tuple[float, float]:
    """Return the least width and height of the spare piece for a test, mm."""
    box = _first(kit, run)
    return box.width + 2.0 * _ABOUT_A_TEST, box.height + 2.0 * _ABOUT_A_TEST
