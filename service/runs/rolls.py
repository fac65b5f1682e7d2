"""What is drawn off a roll for a run: a sheet as long as its longest load."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from geometry.layout.stock.stock_sheets import Rolls
from geometry.model.cutter import WorkArea
from geometry.model.outline import Region
from service.requests.pieces import Turns
from service.requests.runs import Run
from service.requests.sheets import Sheet
from service.runs.layout_step import LaidOutRun


def cut_off(
    run: Run, laid: LaidOutRun, regions: Mapping[str, Region]
) -> tuple[Run, tuple[float | None, ...]]:
    """Return a run as what is drawn off its roll leaves it; as it is on any other bed.

    Shape:
        The run on a bed as long as its longest load, margins included, and what each load takes,
        ``None`` where nothing is drawn off.

    Units:
        mm.
    """
    loads = laid.layout.loads
    if not run.area.open_right:
        return run, (None,) * len(loads)
    box = run.area.bounds
    # A piece of cloth lies there whole, however little of it a load takes.
    lies_whole = run.sheet is not None and not run.sheet.is_drawn_off
    beside, after = laid.room.bounds.left - box.left, behind(run, laid.room)
    ends = [
        max(each.move.outline(regions[each.piece].outline).bounds.right for each in load.placements)
        for load in loads
    ]
    long = max(ends)
    along = run.area.longest if lies_whole else long + beside - box.left
    area = WorkArea.rectangle(box.left, box.bottom, along, box.height)
    whole = run.sheet.width if lies_whole and run.sheet is not None else 0.0
    bed = replace(run.cutter.bed, width=max(long + after, whole), roll=False)
    material = run.material
    if material.width is not None or material.height is not None:
        # Of a roll its width is across; of the sheet that is cut off, along.
        material = replace(material, width=area.bounds.width, height=box.height)
    reach = area
    if run.reach is not None:
        least = run.reach.bounds
        reach = WorkArea.rectangle(
            least.left, least.bottom, area.bounds.right - least.left, least.height
        )
    sheet = replace(
        run,
        cutter=replace(run.cutter, bed=bed),
        area=area,
        material=material,
        reach=reach,
        sheet=_lying(run.sheet, bed.width),
    )
    return sheet, tuple(end + after for end in ends)


def _lying(sheet: Sheet | None, end: float) -> Sheet | None:
    """Return a sheet as it lies on a bed that ends there: what is drawn off ends there too."""
    if sheet is None or not sheet.is_drawn_off:
        return sheet
    return replace(sheet, x=0.0, width=end)


def behind(run: Run, room: WorkArea) -> float:
    """Return how much of a roll is drawn off behind the outlines of a load, mm.

    What the tool needs before the first outline it needs behind the last one too, and so does the
    edge that is cut there.
    """
    left = room.bounds.left
    beside = left - run.area.bounds.left
    edge = 0.0 if run.sheet is None else run.sheet.clearance
    return max(beside + run.cutter.margins.right, left if beside else 0.0, edge)


def rolls_of(run: Run, number: int, room: WorkArea) -> Rolls:
    """Return the rolls of an entry of a run's stock.

    Args:
        run: the run.
        number: of the entry.
        room: where outlines may lie on it.
    """
    entry, lying = run.material.stock[number], run.stock[number]
    length = entry.roll or 0.0
    part = replace(run, area=lying.area, sheet=lying.sheet)
    return Rolls(
        lengths=(length,) * entry.count,
        longest=min(length, run.cutter.bed.width),
        around=room.bounds.left + behind(part, room),
        plies=run.layers,
    )


def turns_on(turns: Turns, *, roll: bool) -> Turns:
    """Return the turns that a piece's grain allows on a bed, as layouts take them.

    The lengthwise grain goes up any other bed; of a roll it runs along, a quarter turn on.
    """
    if not roll or turns == "free":
        return turns
    stated = {"fixed": (0.0,), "half-turn": (0.0, 180.0)}
    allowed = stated[turns] if isinstance(turns, str) else turns
    return tuple(sorted((turn + 90.0) % 360.0 for turn in allowed))


def used_of(laid: LaidOutRun, sheet: Run) -> WorkArea:
    """Return where outlines lie: the room that was laid in, of a roll as far as it is drawn off."""
    if not laid.room.open_right:
        return laid.room
    room, box = laid.room.bounds, sheet.area.bounds
    beside = room.left - box.left
    return WorkArea.rectangle(room.left, room.bottom, box.right - beside - room.left, room.height)
