"""What a kit costs, line by line, from stated prices alone; and what it weighs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal, localcontext

from geometry.measure import area
from geometry.model.outline import Region
from service.answers.kits import TotalsAnswer
from service.answers.quotes import QuoteAnswer, WeightAnswer, amounts_answer, line_answer
from service.answers.runs import PreviewRunAnswer
from service.kits.material_charged import length_charged, sheets_charged
from service.kits.stock import drawn_length, used_count
from service.pieces.model import Kit
from service.planning.quote_lines import DIGITS, QuoteLine, Rounding, in_whole_steps
from service.requests.prices import Extra, MaterialPrice, PriceList
from service.runs.planned_run import PlannedRun
from service.tools import kind_of

_TENTH = Decimal("0.1")
_PERCENT = Decimal(100)
_MINUTES = Decimal(60)
_MM2_PER_M2 = 1e6


def quote(
    kit: Kit,
    planned: Sequence[PlannedRun],
    rows: Sequence[PreviewRunAnswer],
    totals: TotalsAnswer,
) -> QuoteAnswer | None:
    """Return a kit's quote; ``None`` where the request states no prices.

    Args:
        kit: what is quoted.
        planned: its runs.
        rows: as the answer states them.
        totals: of all runs.
    """
    if kit.prices is None:
        return None
    with localcontext(prec=DIGITS):
        return _quote(kit, kit.prices, planned, rows, totals)


def _quote(
    kit: Kit,
    prices: PriceList,
    planned: Sequence[PlannedRun],
    rows: Sequence[PreviewRunAnswer],
    totals: TotalsAnswer,
) -> QuoteAnswer:
    materials = _all_materials(kit, prices, planned, rows)
    lines, missing = _lines(kit, prices, planned, totals)
    lines = [*(each for each in materials if isinstance(each, QuoteLine)), *lines]
    missing = [*(each for each in materials if isinstance(each, str)), *missing]
    rounded = Rounding(prices.currency, prices.decimals)
    amounts = [rounded(line.amount) for line in lines]
    cost = sum(amounts, rounded(Decimal(0)))
    margin = rounded(_margin(prices, cost))
    price = cost + margin
    return QuoteAnswer(
        price_list=prices.name or None,
        price_list_version=prices.version or None,
        currency=prices.currency,
        rounding=(
            "times of machine and hand are rounded to a tenth of a minute; each line, the margin "
            f"and each amount per copy to {rounded}"
        ),
        copies=kit.copies,
        lines=[line_answer(*each) for each in zip(lines, amounts, strict=True)],
        cost=amounts_answer(cost, rounded(cost / kit.copies)),
        margin=amounts_answer(margin, rounded(margin / kit.copies)),
        price=amounts_answer(price, rounded(price / kit.copies)),
        tax="not included",
        not_priced=missing,
        weight=_weight(kit, planned, prices),
    )


def _margin(prices: PriceList, cost: Decimal) -> Decimal:
    if prices.margin is None:
        return Decimal(0)
    kind, percent = prices.margin
    rest = _PERCENT if kind == "percent_of_cost" else _PERCENT - percent
    return cost * percent / rest


def _lines(
    kit: Kit, prices: PriceList, planned: Sequence[PlannedRun], totals: TotalsAnswer
) -> tuple[list[QuoteLine], list[str]]:
    """Return the priced lines of all but material, and in words what has no price."""
    lines: list[QuoteLine] = []
    missing: list[str] = []
    for kind, name, seconds, per_hour in _times(planned, prices, totals):
        if per_hour is None:
            missing.append(name)
        else:
            minutes = (Decimal(str(seconds)) / _MINUTES).quantize(_TENTH, ROUND_HALF_UP)
            lines.append(_hours(kind, name, minutes, per_hour))
    if prices.bench is None:
        missing.append("bench time")
    else:
        bench = prices.bench
        minutes = (
            bench.minutes_per_batch
            + bench.minutes_per_load * totals.loads
            + bench.minutes_per_copy * kit.copies
        )
        lines.append(_hours("bench", "bench time", minutes, bench.per_hour))
    for kind, extras in (("consumables", prices.consumables), ("packaging", prices.packaging)):
        if extras is None:
            missing.append(kind)
        else:
            lines.extend(_extras(kind, extras, kit.copies))
    if prices.margin is None:
        missing.append("margin")
    return lines, missing


def _times(
    planned: Sequence[PlannedRun], prices: PriceList, totals: TotalsAnswer
) -> Iterator[tuple[str, str, float, Decimal | None]]:
    """Yield kind, name, seconds and rate of the machine's time, and of cutting by hand if any."""
    by_hand = math.fsum(_by_hand_s(run) for run in planned)
    yield "machine", "machine time", totals.estimated_s - by_hand, prices.machine_per_hour
    if by_hand:
        yield "hand_cutting", "cutting by hand", by_hand, prices.hand_cutting_per_hour


def _by_hand_s(planned: PlannedRun) -> float:
    tool = planned.run.cutter.tool
    return math.fsum(
        kind_of(tool).by_hand_s(tool, load.planned.plan) * load.load.repeats
        for load in planned.loads
    )


def _hours(kind: str, name: str, minutes: Decimal, per_hour: Decimal) -> QuoteLine:
    return QuoteLine(kind, name, minutes, "min", per_hour, _MINUTES)


def _extras(kind: str, extras: Sequence[Extra], copies: int) -> Iterator[QuoteLine]:
    for each in extras:
        count = each.quantity * (copies if each.per == "copy" else 1)
        yield QuoteLine(kind, each.name, count, "piece", each.price)


def _material(
    kit: Kit, planned: PlannedRun, row: PreviewRunAnswer, price: MaterialPrice | None
) -> QuoteLine | str:
    """Return the line of a run's material, or why it has none."""
    run = planned.run
    words = f"run {run.number}: {run.material.name}"
    if price is None or (price.per_sheet is None and price.per_length is None):
        return words
    if price.per_length is None:
        sheets = sheets_charged(planned)
        if sheets is None:
            return f"{words}, whose price is stated per sheet and is needed per length"
        return QuoteLine(
            "material",
            run.material.name,
            Decimal(sheets.quantity),
            "sheet",
            price.per_sheet or Decimal(0),
            run=run.number,
            basis=sheets.basis,
        )
    length = length_charged(kit, planned, row, price.step)
    if length is None:
        return f"{words}, whose price is stated per length and is needed per sheet"
    return QuoteLine(
        "material",
        run.material.name,
        in_whole_steps(length.quantity, price.step),
        "mm",
        price.per_length,
        Decimal(str(price.length)),
        run.number,
        length.basis,
    )


def _all_materials(
    kit: Kit,
    prices: PriceList,
    planned: Sequence[PlannedRun],
    rows: Sequence[PreviewRunAnswer],
) -> list[QuoteLine | str]:
    """Return the lines of all runs' material, and in words what of it has no price."""
    known = {each.name: each for each in prices.materials}
    return [
        each
        for run, row in zip(planned, rows, strict=True)
        for each in _materials(kit, run, row, known.get(run.run.material.name))
    ]


def _materials(
    kit: Kit, planned: PlannedRun, row: PreviewRunAnswer, price: MaterialPrice | None
) -> Iterator[QuoteLine | str]:
    """Yield the lines of what a run is cut from: by its stock's prices, where that states any."""
    if any(each.price is not None for each in planned.run.material.stock):
        yield from _of_stock(planned)
    else:
        yield _material(kit, planned, row, price)


def _of_stock(planned: PlannedRun) -> Iterator[QuoteLine | str]:
    """Yield the line of each entry of a stock that is used, or why it has none."""
    run = planned.run
    for number in planned.parts:
        entry = run.material.stock[number]
        name = f"{run.material.name} ({entry.name})"
        if entry.price is None:
            yield f"run {run.number}: {name}"
        elif entry.price_per is None:
            count = Decimal(used_count(planned, number))
            yield QuoteLine("material", name, count, "sheet", entry.price, run=run.number)
        else:
            drawn = Decimal(str(round(drawn_length(planned, number), 3)))
            per = Decimal(str(entry.price_per))
            yield QuoteLine("material", name, drawn, "mm", entry.price, per, run.number)


def _weight(kit: Kit, planned: Sequence[PlannedRun], prices: PriceList) -> WeightAnswer | None:
    """Return the weight of what one copy and all copies hold, of materials of known grammage."""
    known = {each.name: each.grammage_g_m2 for each in prices.materials}
    if not any(known.values()):
        return None
    grams, unknown = 0.0, []
    for each in planned:
        run = each.run
        grammage = known.get(run.material.name)
        if grammage is None:
            unknown.append(f"run {run.number}: {run.material.name}")
            continue
        mm2 = sum(
            portion.total * _solid(kit.pieces[piece].region(run.cut))
            for piece, portion in run.portions.items()
        )
        grams += mm2 / _MM2_PER_M2 * grammage
    return WeightAnswer(
        per_copy_g=round(grams, 1),
        per_batch_g=round(grams * kit.copies, 1),
        not_weighed=unknown,
    )


def _solid(region: Region) -> float:
    return area(region.outline) - sum(area(hole) for hole in region.holes)
