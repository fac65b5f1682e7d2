"""What the answer and the run sheet state of a stock: what is used, left and missing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

from geometry import units as lengths
from geometry.layout.stock.stock_rolls import rests_of
from geometry.layout.stock.stock_sheets import Rolls
from geometry.measure import area, corner_turns
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from service.answers.stock import (
    LeftoverOutlineAnswer,
    PurchaseAnswer,
    ShortfallAnswer,
    StockEntryAnswer,
    StockPlaceAnswer,
)
from service.documents.bench_units import BenchUnits
from service.errors import Fault, NotEnoughStockError, RequestError, pointer
from service.kits.boxes import box_of
from service.requests.runs import Run
from service.requests.stock import StockEntry
from service.runs.planned_run import PlannedLoad, PlannedRun, Shortfall, ShortfallPurchase
from service.runs.sheet_position import sheet_answer
from service.schemas.codec import dump
from service.texts import gettext as _
from service.texts import ngettext

#: A smaller turn is no corner that anybody sees, and more corners nobody counts.
_CORNER, _MAX_COUNTED = math.radians(5.0), 12
#: Lengths that differ by less than this, mm, are the same.
_ROUNDING = 1e-6


def stock_entries(planned: PlannedRun) -> list[StockEntryAnswer]:
    """Return what of each entry of a run's stock is used and left."""
    return [_entry(planned, number) for number in range(len(planned.run.stock))]


def stock_cost(run: Run, entries: Sequence[StockEntryAnswer]) -> str | None:
    """Return the cost of all that is used of a stock; ``None`` where it states no prices."""
    costs = [Decimal(each.cost) for each in entries if each.cost is not None]
    return _money(sum(costs, Decimal(0)), run) if costs else None


def stock_of_load(planned: PlannedRun, load: PlannedLoad, units: str) -> StockPlaceAnswer:
    """Return from what a load is cut, and where that lies on the bed."""
    part = planned.part_of(load)
    (number,) = [at for at, each in planned.parts.items() if each is part]
    return StockPlaceAnswer(
        stock=planned.run.material.stock[number].name,
        work_area=box_of(part.run.area),
        usable_area=box_of(part.room),
        sheet=sheet_answer(part.run, units),
    )


def used_count(planned: PlannedRun, number: int) -> int:
    """Return how many sheets of an entry are used, one for every ply of each load."""
    if number not in planned.parts:
        return 0
    run, part = planned.run, planned.parts[number]
    loads = sum(load.load.repeats for load in part.loads)
    entry = run.material.stock[number]
    if entry.roll is None:
        return loads * run.layers
    rests = roll_rests(planned, number)
    return sum(rest < entry.roll - _ROUNDING for rest in rests)


def roll_rests(planned: PlannedRun, number: int) -> list[float]:
    """Return what is left on each roll of an entry, mm: begun rolls first."""
    entry, part = planned.run.material.stock[number], planned.parts.get(number)
    whole = Rolls((entry.roll or 0.0,) * entry.count, math.inf, 0.0, planned.run.layers)
    if part is None:
        return list(whole.lengths)
    rests = rests_of(whole, [(load.length or 0.0, load.load.repeats) for load in part.loads])
    # What was laid out in another order may be packed too tightly to be shared out again.
    return [0.0] * entry.count if rests is None else rests.lengths


def drawn_length(planned: PlannedRun, number: int) -> float:
    """Return the length that is drawn off the rolls of an entry, margins included, mm."""
    if number not in planned.parts:
        return 0.0
    loads = planned.parts[number].loads
    drawn = sum((load.length or 0.0) * load.load.repeats for load in loads)
    return drawn * planned.run.layers


def taken_length(planned: PlannedRun) -> float:
    """Return the length that all loads take, in all layers, mm."""
    taken = sum((load.length or 0.0) * load.load.repeats for load in planned.loads)
    return taken * planned.run.layers


def entry_cost(planned: PlannedRun, number: int) -> Decimal | None:
    """Return what is used of an entry costs; ``None`` where it states no price."""
    entry = planned.run.material.stock[number]
    if entry.price is None:
        return None
    if entry.roll is None or entry.price_per is None:
        return entry.price * used_count(planned, number)
    drawn = Decimal(str(round(drawn_length(planned, number), 3)))
    return entry.price * drawn / Decimal(str(entry.price_per))


def _entry(planned: PlannedRun, number: int) -> StockEntryAnswer:
    entry = planned.run.material.stock[number]
    used = used_count(planned, number)
    part = planned.parts.get(number)
    drawn = drawn_length(planned, number)
    cost = entry_cost(planned, number)
    return StockEntryAnswer(
        name=entry.name,
        count=entry.count,
        used=used,
        unused=entry.count - used,
        loads=[load.number for load in planned.loads if load.on is part and part],
        used_length_mm=None if entry.roll is None else drawn,
        left_length_mm=None if entry.roll is None else entry.roll * entry.count - drawn,
        cost=None if cost is None else _money(cost, planned.run),
        outline=_outline_answer(entry.outline),
    )


def _outline_answer(outline: Outline | None) -> LeftoverOutlineAnswer | None:
    if outline is None:
        return None
    box = outline.bounds
    return LeftoverOutlineAnswer(
        corners=_corner_count(outline),
        area_mm2=area(outline),
        width_mm=box.width,
        height_mm=box.height,
    )


def _money(amount: Decimal, run: Run) -> str:
    """Return an amount with as many decimals as the stock's prices have, two at least."""
    stated = (each.price for each in run.material.stock if each.price is not None)
    places = max(2, *(-int(each.as_tuple().exponent) for each in stated), 0)
    return f"{amount:.{places}f}"


def shortfall_answer(run: Run, shortfall: Shortfall | None) -> ShortfallAnswer | None:
    """Return the missing pieces, and what to buy for them: any one of the purchases will do."""
    if shortfall is None:
        return None
    return ShortfallAnswer(
        run=run.number,
        missing=dict(shortfall.missing),
        buy=[_purchase(run, each) for each in shortfall.purchases],
    )


def _purchase(run: Run, purchase: ShortfallPurchase) -> PurchaseAnswer:
    return PurchaseAnswer(
        name=run.material.stock[purchase.entry].name,
        count=purchase.count if purchase.length is None else None,
        length_mm=purchase.length,
        cost=None if purchase.cost is None else _money(purchase.cost, run),
    )


def not_enough_stock(short: Sequence[tuple[int, PlannedRun]], units: str) -> RequestError:
    """Return the problem of runs whose stock does not hold all their pieces."""
    faults, rows = [], []
    for index, planned in short:
        assert planned.shortfall is not None  # noqa: S101 - only such runs are listed
        text = shortfall_words(planned.run, planned.shortfall, units)
        faults.append(Fault(pointer("runs", index, "material", "stock"), text))
        rows.append(dump(shortfall_answer(planned.run, planned.shortfall)))
    return NotEnoughStockError(faults[0].detail, faults, shortfall=rows)


def shortfall_words(run: Run, shortfall: Shortfall, units: str) -> str:
    """Return what is missing and what to buy, as a sentence."""
    missing = ", ".join(f"{count} of {piece}" for piece, count in shortfall.missing.items())
    entries = run.material.stock
    each = [_purchase_words(entries[one.entry], one, units) for one in shortfall.purchases[:5]]
    if not each:
        return (
            f"The stock has no room for {missing}, and none of it can be bought again; "
            "list a sheet or a roll too."
        )
    return f"The stock has no room for {missing}. Buy {', or '.join(each)}."


def _purchase_words(entry: StockEntry, purchase: ShortfallPurchase, units: str) -> str:
    if purchase.length is None:
        return f'{purchase.count} more of "{entry.name}"'
    return f'{lengths.format_length(purchase.length, units)} more of "{entry.name}"'


def stock_words(planned: PlannedRun, units: BenchUnits) -> str:
    """Return what is taken out of the stock, for the run sheet."""
    texts = []
    for number, entry in enumerate(planned.run.material.stock):
        if number not in planned.parts:
            continue
        if entry.outline is not None:
            texts.append(_leftover_words(entry, entry.outline, units))
        elif entry.roll is None:
            used = used_count(planned, number)
            texts.append(
                ngettext(
                    '{n} piece marked "{name}", {size} ({count} in stock)',
                    '{n} pieces marked "{name}", each {size} ({count} in stock)',
                    used,
                    count=entry.count,
                    name=entry.name,
                    size=units.size(Bounds(0.0, 0.0, entry.width, entry.height or 0.0)),
                )
            )
        else:
            texts.append(
                _(
                    'draw {length} off "{name}", {width} wide',
                    length=units.enough(drawn_length(planned, number)),
                    name=entry.name,
                    width=units.written(entry.width),
                )
            )
    return "; ".join(texts)


def _leftover_words(entry: StockEntry, outline: Outline, units: BenchUnits) -> str:
    """Return how a leftover of no rectangle is recognised: by its corners and how much it is."""
    box = units.size(outline.bounds)
    corners = _corner_count(outline)
    if not 0 < corners <= _MAX_COUNTED:
        return _(
            '1 piece marked "{name}", of an irregular outline, {area}, {box} at its widest',
            name=entry.name,
            area=units.area(area(outline)),
            box=box,
        )
    return _(
        '1 piece marked "{name}", with {corners} corners, {area}, {box} at its widest',
        name=entry.name,
        corners=corners,
        area=units.area(area(outline)),
        box=box,
    )


def _corner_count(outline: Outline) -> int:
    """Return how many corners of an outline a person sees, without points along an edge."""
    return sum(abs(turn) > _CORNER for turn in corner_turns(outline))
