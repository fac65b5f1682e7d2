"""A run cut from its stock: which sheets, how they are filled, what is missing and what to buy."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction
from functools import partial

from geometry.layout import Item, Layout
from geometry.layout.bound import min_loads_on
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.stock.stock import at_lowest_cost, in_order
from geometry.layout.stock.stock_loads import placed_on, repeated
from geometry.layout.stock.stock_rolls import off_rolls, rests_of
from geometry.layout.stock.stock_sheets import StockLayout, StockSheet, StockUse
from geometry.layout.task import load_count
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.units import format_length
from service.pieces.model import Kit
from service.requests.runs import Run
from service.requests.stock import in_order_of_age
from service.runs.filling import with_quantity
from service.runs.layout_step import LaidOutRun, reach_warnings, require_fit, room_of
from service.runs.loads import plan_laid
from service.runs.notices import of_sheet
from service.runs.planned_run import PlannedLoad, PlannedRun, Shortfall
from service.runs.plies import Plies, plies_of
from service.runs.rolls import rolls_of
from service.runs.sheet_position import sheet_warnings
from service.runs.shortfall import shortfall_of
from service.runs.stock_filler import StockFiller, part_of
from service.texts import gettext as _
from service.tools.layouts import LayoutSearch


def largest_part(run: Run, items: Sequence[Item]) -> Run:
    """Return a run on that sheet of its stock which has most room; without a stock as it is."""
    parts = [part_of(run, number) for number in range(len(run.stock))]
    return max(parts, key=lambda part: _extent(room_of(part, items)), default=run)


def plan_on_stock(
    kit: Kit,
    run: Run,
    items: Sequence[Item],
    *,
    entry_angle_deg: float | None,
    search: LayoutSearch,
) -> tuple[PlannedRun, float | None]:
    """Plan a run on the sheets of its stock; return it and the blade angle it ends with.

    Where the stock is short, what it holds is planned, and ``shortfall`` says the rest.

    Raises:
        DoesNotFit: when a piece is too large for every sheet.
        GeometryError: when the tool cannot do what is asked of it.
    """
    filler = StockFiller([part_of(run, at) for at in range(len(run.stock))], items, search)
    _require_room(items, filler)
    sheets = [_sheet(run, at, filler.room(at)) for at in range(len(run.stock))]
    found = (
        _chosen(run, items, sheets, filler, search)
        if kit.layout is None
        else _as_they_lay(kit.layout, kit.load_stock)
    )
    if run.fills and kit.layout is None:
        placed = sum(
            len(load.placements) * load.repeats for use in found.uses for load in use.layout.loads
        )
        run, items = with_quantity(kit, run, items, placed)
        filler.parts = [part_of(run, at) for at in range(len(run.stock))]
    angle, parts = entry_angle_deg, dict[int, PlannedRun]()
    for use in found.uses:
        part = filler.parts[use.sheet]
        laid = LaidOutRun(use.layout, filler.room(use.sheet), reach_warnings(part, items))
        # Another entry may hold the other pieces: laid out again is only what lies on this one.
        there = _placed(items, use.layout)
        parts[use.sheet], angle = plan_laid(
            kit,
            part,
            there,
            laid,
            entry_angle_deg=angle,
            search=search if kit.layout is None else None,
            has_room=partial(_has_room, sheets[use.sheet]),
        )
    parts = {at: _naming_it(part, run, at, kit.units) for at, part in parts.items()}
    shortfall = None
    if found.missing:
        shortfall = shortfall_of(kit, run, items, found.missing, sheets, filler)
    return _together(run, items, sheets, parts, plies_of(kit, run), shortfall), angle


def _naming_it(planned: PlannedRun, run: Run, number: int, units: str) -> PlannedRun:
    """Return what is cut from one entry of a stock; warnings about the sheet say which it is."""
    entry, about = run.material.stock[number], sheet_warnings(planned.run, units)
    sides = (entry.width, entry.height or entry.roll)
    size = " x ".join(format_length(side, units) for side in sides if side is not None)
    name = _('Sheet "{name}", {size}', name=entry.name, size=size)
    place = f"/material/stock/{number}"
    warnings = [of_sheet(each, name, place) if each in about else each for each in planned.warnings]
    return replace(planned, warnings=tuple(warnings))


def _placed(items: Sequence[Item], layout: Layout) -> list[Item]:
    """Return items with as many of each as a layout has; those that it has."""
    placed = placed_on(layout)
    return [replace(item, quantity=placed[item.piece]) for item in items if item.piece in placed]


def _has_room(sheet: StockSheet, loads: Sequence[Load], lengths: Sequence[float | None]) -> bool:
    """Return whether there is enough of an entry for loads that were laid out again."""
    if sheet.rolls is None:
        return load_count(loads) <= sheet.loads
    drawn = [(length or 0.0, load.repeats) for load, length in zip(loads, lengths, strict=True)]
    return rests_of(sheet.rolls, drawn) is not None


def _chosen(
    run: Run,
    items: Sequence[Item],
    sheets: Sequence[StockSheet],
    filler: StockFiller,
    search: LayoutSearch,
) -> StockLayout:
    if run.fills:
        return _all_that_fits(items[0], sheets, filler)
    sets = run.sets and len(items) > 1
    if run.material.stock_order == "oldest_first":
        order = in_order_of_age(run.material.stock)
        return in_order(items, sheets, order, filler, gap=run.gap, sets=sets)
    return at_lowest_cost(
        items, sheets, filler, gap=run.gap, sets=sets, should_stop=search.should_stop
    )


def _all_that_fits(item: Item, sheets: Sequence[StockSheet], filler: StockFiller) -> StockLayout:
    """Return every sheet of a stock, filled with one kind of piece."""
    uses = []
    for number, sheet in enumerate(sheets):
        if sheet.rolls is not None:
            layout = off_rolls([item], sheet, number, filler, quick=False, fills=True)
            if layout is not None:
                uses.append(StockUse(number, layout))
            continue
        with suppress(DoesNotFit):
            full = filler.fullest(item, number, quick=False)
            if sheet.loads:
                held = len(full.loads[0].placements)
                uses.append(StockUse(number, repeated(full, held, held * sheet.loads)))
    return StockLayout(tuple(uses), {})


def _as_they_lay(layout: Layout, entries: Sequence[int]) -> StockLayout:
    """Return stored loads, each on the sheet that it was cut from."""
    uses = []
    for entry in dict.fromkeys(entries):
        places = {at: new for new, at in enumerate(_places(entries, entry))}
        uses.append(
            StockUse(
                entry,
                replace(
                    layout,
                    loads=tuple(layout.loads[at] for at in places),
                    utilisation=tuple(layout.utilisation[at] for at in places),
                    offcuts=tuple(
                        replace(each, load=places[each.load])
                        for each in layout.offcuts
                        if each.load in places
                    ),
                ),
            )
        )
    return StockLayout(tuple(uses), {})


def _places(entries: Sequence[int], entry: int) -> list[int]:
    return [at for at, each in enumerate(entries) if each == entry]


def _require_room(items: Sequence[Item], filler: StockFiller) -> None:
    """Check that every piece fits on some sheet.

    Raises:
        DoesNotFit: when one does not, as the sheet with the most room says.
    """
    numbers = range(len(filler.parts))
    by_room = sorted(numbers, key=lambda at: -_extent(filler.room(at)))
    for item in items:
        worst: DoesNotFit | None = None
        for number in by_room:
            try:
                require_fit(item, filler.parts[number], filler.room(number))
            except DoesNotFit as error:
                worst = worst or error
            else:
                break
        else:
            if worst is not None:
                raise worst


def _extent(room: WorkArea) -> float:
    box = room.bounds
    return box.height * (room.longest if room.open_right else box.width)


def _sheet(run: Run, number: int, room: WorkArea) -> StockSheet:
    """Return what a layout has to know of one kind of sheet; each load takes one for every ply."""
    entry = run.material.stock[number]
    price = Fraction(entry.price or 0) * run.layers
    if entry.roll is None:
        return StockSheet(room, entry.count // run.layers, price)
    rolls = rolls_of(run, number, room)
    loads = max(1, math.ceil(entry.roll / rolls.longest) * entry.count // run.layers)
    per_mm = price / Fraction(entry.price_per) if entry.price_per else Fraction(0)
    return StockSheet(room, loads, cost_per_mm=per_mm, rolls=rolls)


def _together(
    run: Run,
    items: Sequence[Item],
    sheets: Sequence[StockSheet],
    parts: Mapping[int, PlannedRun],
    plies: Mapping[str, Plies],
    shortfall: Shortfall | None,
) -> PlannedRun:
    """Return all that is cut from a stock as one run, its loads numbered through."""
    loads: list[PlannedLoad] = []
    warnings: dict[str, None] = {}
    for part in parts.values():
        for load in part.loads:
            loads.append(replace(load, number=len(loads) + 1, on=part))
        warnings.update(dict.fromkeys(part.warnings))
    rooms = [(_rectangle(sheet.room), sheet.loads) for sheet in sheets]
    made = load_count([load.load for load in loads])
    return PlannedRun(
        run=run,
        loads=tuple(loads),
        bound=min_loads_on(items, rooms, run.gap) if shortfall is None else made,
        complete=all(part.complete for part in parts.values()),
        warnings=tuple(warnings),
        room=run.area,
        plies=plies,
        parts=dict(parts),
        shortfall=shortfall,
    )


def _rectangle(room: WorkArea) -> WorkArea:
    """Return a room of a roll as far as the most that is drawn off at once."""
    if not room.open_right:
        return room
    box = room.bounds
    return WorkArea.rectangle(box.left, box.bottom, room.longest, box.height)
