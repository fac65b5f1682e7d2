"""The spare piece that a test cut takes: its size, and its length of a roll."""

from __future__ import annotations

import math

from geometry.layout.item import stated_turns_deg
from geometry.model.segments import Bounds
from service.kits.stock import taken_length
from service.pieces.model import Kit, Piece
from service.requests.runs import Run
from service.requests.stock import StockEntry
from service.runs.planned_run import PlannedRun
from service.runs.roll_cloth import cloth_width, is_drawn_off
from service.tools import kind_of

#: Room about a test piece on each side, mm. Common practice, no source.
_ABOUT_A_TEST = 12.0
#: Ways to lie of what may be turned freely, degrees: no other takes less of a roll.
_QUARTERS = (0.0, 90.0)
#: A side that is short by less than this, mm, is long enough.
_ROUNDING = 1.0e-6


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

    They lie as their grain allows, as many as fit side by side across the roll.
    """
    width = cloth_width(run)
    return min(rows * along for rows, along in test_rows(kit, run, width) or _aslant(kit, run))


def test_rows(kit: Kit, run: Run, width: float) -> list[tuple[int, float]]:
    """Return how many rows hold a spare piece for each layer, and how long each is, mm.

    One entry for each way in which the pieces may lie across a roll of a width; none if it is too
    narrow for them.
    """
    return [
        (math.ceil(run.layers / math.floor((width + _ROUNDING) / across)), along)
        for across, along in _ways(kit, run)
        if across <= width + _ROUNDING
    ]


def spare_sides(kit: Kit, run: Run) -> tuple[float, float]:
    """Return the least width and height of the spare piece for a test, mm.

    It is no larger than what the loads are cut from, which has room enough.
    """
    box = _first(kit, run).region(run.cut).outline.bounds
    held = [_held(box, *material) for material in _materials(run)]
    return max(held, key=lambda sides: sides[0] * sides[1])


def _first(kit: Kit, run: Run) -> Piece:
    """Return the piece that a test cuts."""
    return kit.pieces[next(iter(run.quantities))]


def _ways(kit: Kit, run: Run) -> list[tuple[float, float]]:
    """Return how far a spare piece reaches across and along a roll, mm, each way it may lie."""
    width, height = spare_sides(kit, run)
    turns = stated_turns_deg(_first(kit, run).turns)
    found = []
    for turn in _QUARTERS if turns is None else turns:
        cosine, sine = (abs(each(math.radians(turn))) for each in (math.cos, math.sin))
        found.append((width * cosine + height * sine, width * sine + height * cosine))
    return found


def _aslant(kit: Kit, run: Run) -> list[tuple[int, float]]:
    """Return a row for each layer's spare piece that is wider than the roll, and its longer side.

    Its piece lies aslant in the loads, as far as anybody knows.
    """
    return [(run.layers, max(spare_sides(kit, run)))]


def _materials(run: Run) -> list[tuple[float, float]]:
    """Return the width and height of all that a run may be cut from, mm; endless if not known."""
    if run.stock:
        return [_entry_sides(each) for each in run.material.stock]
    if run.from_roll:
        return [(cloth_width(run), math.inf)]
    return [(math.inf, math.inf) if run.sheet is None else (run.sheet.width, run.sheet.height)]


def _entry_sides(entry: StockEntry) -> tuple[float, float]:
    """Return how large a rectangle an entry of a stock gives, mm; endless if it has a shape."""
    if entry.outline is not None:
        return math.inf, math.inf
    return entry.width, math.inf if entry.height is None else entry.height


def _held(box: Bounds, wide: float, high: float) -> tuple[float, float]:
    """Return a box with room on each side, cut down to a material that holds the box itself, mm."""
    sides = box.width + 2.0 * _ABOUT_A_TEST, box.height + 2.0 * _ABOUT_A_TEST
    ways = [
        (min(sides[0], across), min(sides[1], along))
        for across, along in ((wide, high), (high, wide))
        if box.width <= across + _ROUNDING and box.height <= along + _ROUNDING
    ]
    return max(ways, key=lambda way: way[0] * way[1], default=sides)
