"""What a stock has no room for, and what to buy for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from geometry.layout import Item, Layout
from geometry.layout.stock import to_buy
from service.requests.portions import uses_of
from service.requests.runs import Run
from service.requests.stock import StockEntry
from service.runs.loads import Shortfall, ShortfallPurchase
from service.runs.plies import Plies, finished
from service.runs.stock_filler import StockFiller


def shortfall_of(
    run: Run,
    items: Sequence[Item],
    missing: Mapping[str, int],
    plies: Mapping[str, Plies],
    filler: StockFiller,
) -> Shortfall:
    """Return the finished pieces that are missing, and what of the stock would make up for them."""
    short = [replace(item, quantity=missing[item.piece]) for item in items if item.piece in missing]
    made = finished(
        plies, {item.piece: item.quantity - missing.get(item.piece, 0) for item in items}
    )
    uses = uses_of(run)
    pieces = {
        piece: count - made.get(piece, 0) * uses
        for piece, count in run.quantities.items()
        if made.get(piece, 0) * uses < count
    }
    return Shortfall(pieces, tuple(_purchases(run, short, filler)))


def _purchases(run: Run, short: Sequence[Item], filler: StockFiller) -> Iterator[ShortfallPurchase]:
    """Yield how much of each entry that can be bought would do, the cheapest first."""
    found = []
    stock = run.material.stock
    # A leftover is not sold again: it has an outline of its own, or no price where others have.
    is_priced = any(each.price is not None for each in stock)
    for number, entry in enumerate(stock):
        is_sold = entry.outline is None and (entry.price is not None or not is_priced)
        layout = to_buy(short, number, filler) if is_sold else None
        if layout is not None:
            found.append(_purchase(run, number, entry, layout, filler))
    yield from sorted(found, key=lambda each: (each.cost is None, each.cost or 0, each.entry))


def _purchase(
    run: Run, number: int, entry: StockEntry, layout: Layout, filler: StockFiller
) -> ShortfallPurchase:
    loads = sum(load.repeats for load in layout.loads) * run.layers
    if entry.roll is None:
        cost = None if entry.price is None else entry.price * loads
        return ShortfallPurchase(number, loads, None, cost)
    room, reach = filler.room(number).bounds, run.stock[number].reach.bounds
    keep = run.cutter.margins
    # Before and behind the outlines as much is needed as where the run is cut.
    around = keep.left + keep.right + 2.0 * (room.left - reach.left)
    drawn = sum(
        (used.right - used.left + around) * load.repeats
        for used, load in zip(layout.used, layout.loads, strict=True)
    )
    length = drawn * run.layers
    cost = None
    if entry.price is not None and entry.price_per:
        cost = entry.price * Decimal(str(round(length, 3))) / Decimal(str(entry.price_per))
    return ShortfallPurchase(number, loads, length, cost)
