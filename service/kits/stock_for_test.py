"""Whether what the loads leave of a stock is enough for the test cut."""

from __future__ import annotations

import math

from geometry.erosion import eroded
from geometry.model.cutter import Margins
from service.documents.bench_units import BenchUnits
from service.kits.spare_piece import spare_sides, takes_whole_pieces, test_rows
from service.kits.stock import roll_rests, used_count
from service.pieces.model import Kit
from service.requests.stock import StockEntry
from service.runs.planned_run import PlannedRun
from service.texts import gettext as _

#: A side that is short by less than this, mm, is long enough.
_ROUNDING = 1e-6


def spare_of_stock(kit: Kit, planned: PlannedRun, units: BenchUnits) -> str:
    """Return where the material of a test comes from: the loads' material has none for it."""
    run = planned.run
    is_left, pieces = False, 0
    for number, entry in enumerate(run.material.stock):
        if entry.roll is not None:
            rests = roll_rests(planned, number)
            is_left = is_left or max(rests) > _ROUNDING
            length = _drawn(kit, planned, entry, rests)
            if length is not None:
                return _(
                    'For the test draw {length} more off "{name}".',
                    length=units.enough(length),
                    name=entry.name,
                )
            continue
        unused = entry.count - used_count(planned, number)
        is_left = is_left or unused > 0
        pieces += unused * _pieces(kit, planned, entry)
    if pieces >= run.layers:
        return _("For the test take a further piece of the stock.")
    if is_left:
        return _("What is left of the stock is too small for the test: get more.")
    return _("The stock has nothing left for the test: get more.")


def _drawn(kit: Kit, planned: PlannedRun, entry: StockEntry, rests: list[float]) -> float | None:
    """Return the length that a test draws off an entry's rolls, mm; ``None`` if it has no room."""
    width = min(entry.width, planned.run.cutter.bed.height)
    drawn = [
        rows * along
        for rows, along in test_rows(kit, planned.run, width)
        if rows <= sum(math.floor((rest + _ROUNDING) / along) for rest in rests)
    ]
    return min(drawn, default=None)


def _pieces(kit: Kit, planned: PlannedRun, entry: StockEntry) -> int:
    """Return how many spare pieces a whole sheet of an entry gives."""
    run = planned.run
    if takes_whole_pieces(run):
        return 1
    width, height = spare_sides(kit, run)
    if entry.outline is not None:
        ways = (Margins(right=width, top=height), Margins(right=height, top=width))
        return int(any(eroded(entry.outline, each, "rectangle") for each in ways))
    return max(
        math.floor((entry.width + _ROUNDING) / across)
        * math.floor(((entry.height or 0.0) + _ROUNDING) / along)
        for across, along in ((width, height), (height, width))
    )
