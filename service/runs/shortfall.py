"""What a stock has no room for, and what to buy for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from geometry.layout import Item
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.stock.stock import is_enough
from geometry.layout.stock.stock_rolls import length_of
from geometry.layout.stock.stock_sheets import StockSheet
from geometry.layout.task import load_count
from geometry.units import round_up
from service.pieces.model import Kit
from service.requests.portions import uses_of
from service.requests.runs import Run
from service.requests.stock import StockEntry, in_order_of_age
from service.runs.frames import ruler_mark_mm
from service.runs.planned_run import Shortfall, ShortfallPurchase
from service.runs.plies import finished, plies_of
from service.runs.stock_filler import StockFiller

#: Sizes of a purchase that are tried until it is enough.
_MAX_TRIES = 6
#: Share by which a length that is not enough is made longer.
_LONGER = 0.1


@dataclass(frozen=True)
class _Short:
    """A run, its stock as layouts know it, and the outlines that have no room."""

    kit: Kit
    run: Run
    items: Sequence[Item]
    missing: Sequence[Item]
    sheets: Sequence[StockSheet]
    filler: StockFiller

    def is_enough(self, number: int, more: StockSheet) -> bool:
        """Return whether the stock holds the order when an entry is replaced by a larger one."""
        run, sheets = self.run, list(self.sheets)
        sheets[number] = more
        by_age = run.material.stock_order == "oldest_first"
        return is_enough(
            self.items,
            sheets,
            self.filler,
            gap=run.gap,
            sets=run.sets and len(self.items) > 1,
            order=in_order_of_age(run.material.stock) if by_age else None,
        )


def shortfall_of(
    kit: Kit,
    run: Run,
    items: Sequence[Item],
    missing: Mapping[str, int],
    sheets: Sequence[StockSheet],
    filler: StockFiller,
) -> Shortfall:
    """Return the finished pieces that are missing, and what of the stock would make up for them."""
    short = [replace(item, quantity=missing[item.piece]) for item in items if item.piece in missing]
    made = finished(
        plies_of(kit, run),
        {item.piece: item.quantity - missing.get(item.piece, 0) for item in items},
    )
    uses = uses_of(run)
    pieces = {
        piece: count - made.get(piece, 0) * uses
        for piece, count in run.quantities.items()
        if made.get(piece, 0) * uses < count
    }
    found = _purchases(_Short(kit, run, items, short, sheets, filler))
    return Shortfall(pieces, tuple(found))


def _purchases(short: _Short) -> Iterator[ShortfallPurchase]:
    """Yield how much of each entry that can be bought would do, the cheapest first."""
    found = []
    stock = short.run.material.stock
    # A leftover is not sold again: it has an outline of its own, or no price where others have.
    is_priced = any(each.price is not None for each in stock)
    for number, entry in enumerate(stock):
        is_sold = entry.outline is None and (entry.price is not None or not is_priced)
        purchase = _purchase(short, number, entry) if is_sold else None
        if purchase is not None:
            found.append(purchase)
    yield from sorted(found, key=lambda each: (each.cost is None, each.cost or 0, each.entry))


def _purchase(short: _Short, number: int, entry: StockEntry) -> ShortfallPurchase | None:
    """Return how much of an entry would do; ``None`` where a missing piece is too large for it."""
    try:
        if entry.roll is None:
            return _sheets(short, number, entry)
        return _length(short, number, entry)
    except DoesNotFit:
        return None


def _sheets(short: _Short, number: int, entry: StockEntry) -> ShortfallPurchase:
    """Return the fewest sheets that hold what is missing, as the order is then laid out.

    Raises:
        DoesNotFit: when a missing piece is too large.
    """
    run, sheet, filler = short.run, short.sheets[number], short.filler
    if len(short.items) == 1:
        # The order would be shared out by what a full sheet holds, so that counts here too.
        (item,) = short.missing
        full = filler.fullest(item, number, quick=False)
        loads = -(-item.quantity // len(full.loads[0].placements))
    else:
        loads = load_count(filler.lay(short.missing, number, quick=False).loads)
        for _ in range(_MAX_TRIES):
            if short.is_enough(number, replace(sheet, loads=sheet.loads + loads)):
                break
            loads += 1
    # Sheets that are too few for a layer each of another load are there already.
    count = loads * run.layers - entry.count % run.layers
    cost = None if entry.price is None else entry.price * count
    return ShortfallPurchase(number, count, None, cost)


def _length(short: _Short, number: int, entry: StockEntry) -> ShortfallPurchase:
    """Return a length of roll that holds what is missing, as the order is then laid out.

    It is enough as a roll of its own, and where the only roll is longer by it.

    Raises:
        DoesNotFit: when a missing piece is too large.
    """
    sheet = short.sheets[number]
    rolls, mark = sheet.rolls, ruler_mark_mm(short.kit.units)
    assert rolls is not None  # noqa: S101 - the entry is a roll
    layout = short.filler.lay(short.missing, number, quick=False, length=short.run.cutter.bed.width)
    outlines = {item.piece: item.outline for item in short.items}
    drawn = sum(
        length_of(load, sheet, outlines) * load.repeats * rolls.plies for load in layout.loads
    )
    length = round_up(drawn, mark)
    for _ in range(_MAX_TRIES):
        ways = [(*rolls.lengths, length)]
        if entry.count == 1:
            ways.append((rolls.lengths[0] + length,))
        more = (replace(sheet, rolls=replace(rolls, lengths=each)) for each in ways)
        if all(short.is_enough(number, each) for each in more):
            break
        length = round_up(length * (1.0 + _LONGER), mark)
    cost = None
    if entry.price is not None and entry.price_per:
        cost = entry.price * Decimal(str(round(length, 3))) / Decimal(str(entry.price_per))
    return ShortfallPurchase(number, load_count(layout.loads) * rolls.plies, length, cost)
