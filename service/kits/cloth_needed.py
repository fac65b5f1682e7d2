"""How much cloth a run takes: its pieces of material in rows across cloth of a given width."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from geometry import units as lengths
from geometry.layout.item import stated_turns_deg
from geometry.model.segments import Bounds
from geometry.planning.cloth import Fabric
from service.answers.places import ClothAnswer, TurnedRowsAnswer
from service.kits.material_needed import material_box
from service.kits.spare_piece import spare_sides, takes_whole_pieces
from service.pieces.model import Kit
from service.quilts.length_text import STRAIGHTENING, length_text
from service.requests.fabrics import usual_step
from service.requests.pieces import Turns
from service.requests.runs import Run
from service.runs.least_material import work_box
from service.runs.planned_run import PlannedRun
from service.runs.sheet_position import has_place
from service.texts import gettext as _
from service.tools.cloth import CLOTH

#: Decimals of an angle in degrees: finer differences are rounding.
_DECIMALS = 6
#: Share of a piece by which it may be wider than its place: rounding of inches.
_NEAR = 1e-9

#: Across the cloth and along it, mm.
_Sides: TypeAlias = tuple[float, float]


@dataclass(frozen=True)
class _Rows:
    """Pieces of one size, side by side across the cloth, row upon row; mm.

    ``count`` pieces lie in them.
    """

    width: float
    length: float
    per_row: int
    count: int
    pitch: float

    @property
    def rows(self) -> int:
        return math.ceil(self.count / self.per_row)

    @property
    def total(self) -> float:
        return (self.rows - 1) * self.pitch + self.length if self.count else 0.0

    def spare_places(self, ways: Sequence[_Sides], cloth_width: float) -> int:
        """Return how many test pieces have room beside pieces and in empty places.

        Of a print the room between rows is left out: it is bought to find the motifs.

        Args:
            ways: across and along, each way in which a test piece may lie.
            cloth_width: of the cloth, mm.
        """
        beside = cloth_width - self.per_row * self.width
        free = _most_in((beside, self.total), ways)
        each = _most_in((self.width, self.length), ways)
        return free + each * (self.per_row * self.rows - self.count)


@dataclass(frozen=True)
class _Lying:
    """Rows of pieces that lie one way, and perhaps rows of others a quarter turn on; mm."""

    parts: tuple[_Rows, ...]
    more: float
    buy: float
    text: str

    @property
    def order(self) -> tuple[float, int, float]:
        """What is best comes first: little to buy, then one way to cut, then a short length."""
        return self.buy, len(self.parts), sum(part.total for part in self.parts) + self.more


def cloth_answer(kit: Kit, planned: PlannedRun) -> ClothAnswer | None:
    """Return what to buy of a run's cloth, or None where none is bought or none is wide enough.

    None is bought of a roll, of a stock, or for a recut from a piece that is there.

    Each layer of each load is one piece; where the test takes pieces of that size, they count. The
    lengthwise grain goes up the bed, so a piece lies with its height along the cloth, unless all
    that is cut from it may lie a quarter turn on; then rows of both may follow each other, where
    that is less to buy. Added are an inch to straighten the cloth's end,
    what test pieces take that have no room beside the others, and of a print a repeat, because
    nobody knows where in it the cloth begins.

    Args:
        kit: with its pieces as they may be turned on the run's material.
        planned: the run.
    """
    run = planned.run
    if run.material.kind not in CLOTH or run.from_roll or run.stock or planned.parts:
        return None
    if run.is_at_hand:
        return None
    width = run.material.fabric_width or Fabric.width
    tests = 1 if takes_whole_pieces(run) else 0
    count = (sum(load.load.repeats for load in planned.loads) + tests) * run.layers
    ways = [
        rows
        for wide, long in _ways(kit, planned)
        if (rows := _rows(count, wide, long, width, run)) is not None
    ]
    spare = () if tests else _test_ways(kit, run)
    found = [_lying(kit, run, parts, width, spare) for parts in _shared_out(ways, count)]
    if not found:
        return None
    best = min(found, key=lambda each: each.order)
    first, *others = best.parts
    return ClothAnswer(
        usable_width_mm=width,
        pieces=count,
        piece_width_mm=first.width,
        piece_length_mm=first.length,
        per_row=first.per_row,
        rows=first.rows,
        turned=next((TurnedRowsAnswer(each.per_row, each.rows) for each in others), None),
        length_mm=sum(part.total for part in best.parts),
        buy_mm=best.buy,
        buy=best.text,
    )


def _shared_out(ways: Sequence[_Rows], count: int) -> Iterator[tuple[_Rows, ...]]:
    """Yield the pieces all one way, then in full rows of one way and what is left the other way."""
    for way in ways:
        yield (way,)
    if len(ways) == 2:  # noqa: PLR2004 - across and along
        one, other = ways
        for rows in range(1, math.ceil(count / one.per_row)):
            held = rows * one.per_row
            yield replace(one, count=held), replace(other, count=count - held)


def _lying(
    kit: Kit,
    run: Run,
    parts: tuple[_Rows, ...],
    width: float,
    spare: Sequence[_Sides],
) -> _Lying:
    """Return what is bought to have some rows, and small pieces of a test beside them if any."""
    more = _tests(run, parts, width, spare) if spare else 0.0
    repeat = run.material.motif.repeat.height if run.material.motif is not None else 0.0
    total = sum(part.total for part in parts) + more
    return _Lying(parts, more, *to_buy(total + repeat, kit.units))


def to_buy(length: float, units: str) -> tuple[float, str]:
    """Return what is bought to have a length of cloth, mm and in words: in whole steps of a shop.

    Its end is straightened first.
    """
    step = usual_step(units)
    buy = lengths.round_up(length + STRAIGHTENING, step.mm)
    return buy, length_text(buy, step.unit)


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
    # A print's height runs along the cloth, however its pieces may be turned.
    if planned.run.material.motif is None and all(
        _turns_by_quarters(kit.pieces[name].turns) for name in planned.run.quantities
    ):
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


def _rows(count: int, width: float, length: float, cloth_width: float, run: Run) -> _Rows | None:
    """Return rows of pieces; those of a print begin at the same place of a repeat each."""
    across, along, lost = width, length, 0.0
    if run.material.motif is not None:
        repeat = run.material.motif.repeat
        across, along = (
            math.ceil(side / whole - _NEAR) * whole
            for side, whole in ((width, repeat.width), (length, repeat.height))
        )
        lost = repeat.width
    # The last of a row needs its own width alone.
    per_row = math.floor((cloth_width - lost - width) / across + _NEAR) + 1
    if per_row < 1:
        per_row = 1 if width <= cloth_width * (1.0 + _NEAR) else 0
    if per_row < 1:
        return None
    return _Rows(width, length, per_row, count, along)


def _test_ways(kit: Kit, run: Run) -> list[_Sides]:
    """Return the ways in which a small piece of a test may lie on the cloth, mm."""
    sides = spare_sides(kit, run)
    turns = kit.pieces[next(iter(run.quantities))].turns
    may_turn = run.material.motif is None and _turns_by_quarters(turns)
    return [sides, sides[::-1]] if may_turn else [sides]


def _most_in(room: _Sides, ways: Sequence[_Sides]) -> int:
    """Return how many boxes a room holds side by side, all of them the better way."""
    return max(math.floor(room[0] / wide) * math.floor(room[1] / long) for wide, long in ways)


def _tests(run: Run, parts: Sequence[_Rows], cloth_width: float, ways: Sequence[_Sides]) -> float:
    """Return how much more cloth the small pieces of a test take, mm: one for each layer."""
    missing = run.layers - sum(part.spare_places(ways, cloth_width) for part in parts)
    if missing <= 0:
        return 0.0
    lying = [way for way in ways if way[0] <= cloth_width] or [min(ways)]
    return min(
        math.ceil(missing / max(1, math.floor(cloth_width / wide))) * long for wide, long in lying
    )
