"""How much cloth a run takes: its pieces of material in rows across cloth of a given width."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry import units as lengths
from geometry.layout.item import stated_turns_deg
from geometry.model.segments import Bounds
from geometry.planning.cloth import Fabric
from service.answers.places import ClothAnswer
from service.kits.material_needed import material_box
from service.pieces.model import Kit
from service.quilts.length_text import length_text
from service.requests.fabrics import usual_step
from service.requests.pieces import Turns
from service.runs.loads import PlannedRun
from service.runs.sheet_position import has_place, work_box
from service.texts import gettext as _
from service.tools import kind_of
from service.tools.cloth import CLOTH

#: Decimals of an angle in degrees: finer differences are rounding.
_DECIMALS = 6
#: Share of a piece by which it may be wider than its place: rounding of inches.
_NEAR = 1e-9


@dataclass(frozen=True)
class _Rows:
    """Pieces of one size, side by side across the cloth, row upon row; mm."""

    width: float
    length: float
    per_row: int
    rows: int

    @property
    def total(self) -> float:
        return self.rows * self.length


def cloth_answer(kit: Kit, planned: PlannedRun) -> ClothAnswer | None:
    """Return what to buy of a run's cloth, or None where none is bought or none is wide enough.

    None is bought of a roll, of a stock, or for a recut from a piece that is there.

    Each layer of each load is one piece; where the test takes pieces of that size, they count. The
    lengthwise grain goes up the bed, so a piece lies with its height along the cloth, unless all
    that is cut from it may lie a quarter turn on.

    Args:
        kit: with its pieces as they may be turned on the run's material.
        planned: the run.
    """
    run, kind = planned.run, kind_of(planned.run.cutter.tool)
    if run.material.kind not in CLOTH or run.from_roll or run.stock or planned.parts:
        return None
    if run.is_at_hand:
        return None
    width = run.material.fabric_width or Fabric.width
    tests = 1 if kind.grips_edges or kind.is_pressed else 0
    count = (sum(load.load.repeats for load in planned.loads) + tests) * run.layers
    sides = _ways(kit, planned)
    found = [rows for wide, long in sides if (rows := _rows(count, wide, long, width)) is not None]
    if not found:
        return None
    best = min(found, key=lambda rows: rows.total)
    step = usual_step(kit.units)
    buy = lengths.round_up(best.total, step.mm)
    return ClothAnswer(
        usable_width_mm=width,
        pieces=count,
        piece_width_mm=best.width,
        piece_length_mm=best.length,
        per_row=best.per_row,
        rows=best.rows,
        length_mm=best.total,
        buy_mm=buy,
        buy=length_text(buy, step.unit),
    )


def cloth_warnings(kit: Kit, planned: PlannedRun) -> list[str]:
    """Say that cloth of the stated width is too narrow for the pieces of material.

    Args:
        kit: as for ``cloth_answer``.
        planned: the run.
    """
    width = planned.run.material.fabric_width
    if width is None or not planned.loads:
        return []
    least = min(wide for wide, _long in _ways(kit, planned))
    if least <= width * (1.0 + _NEAR):
        return []
    return [
        _(
            "The cloth is {width} wide, too narrow for pieces of material that are {least} wide: "
            "what to buy of it is not stated.",
            width=lengths.format_length(width, kit.units),
            least=lengths.format_length(least, kit.units),
        )
    ]


def _ways(kit: Kit, planned: PlannedRun) -> list[tuple[float, float]]:
    """Return the ways in which a piece of material may lie on the cloth: across and along, mm."""
    box = _piece(planned, kit.units)
    sides = [(box.width, box.height)]
    if all(_turns_by_quarters(kit.pieces[name].turns) for name in planned.run.quantities):
        sides.append((box.height, box.width))
    return sides


def _turns_by_quarters(turns: Turns) -> bool:
    """Return whether a piece may lie a quarter turn on from each way in which it may lie."""
    stated = stated_turns_deg(turns)
    if stated is None:
        return True
    allowed = {round(turn, _DECIMALS) % 360.0 for turn in stated}
    return all((turn + 90.0) % 360.0 in allowed for turn in allowed)


def _piece(planned: PlannedRun, units: str) -> Bounds:
    """Return the least size of each piece of material, as the run sheet states it, mm."""
    run = planned.run
    if run.sheet is not None and has_place(run):
        return run.sheet.box
    return material_box(planned, units) or work_box(run)


def _rows(count: int, width: float, length: float, cloth_width: float) -> _Rows | None:
    per_row = math.floor(cloth_width / width + _NEAR)
    if per_row < 1:
        return None
    return _Rows(width, length, per_row, math.ceil(count / per_row))
