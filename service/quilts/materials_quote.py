"""What a planned quilt's materials cost by a price list, line by line."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal, localcontext

from service.answers.fabrics import LengthAnswer
from service.answers.quilts import MaterialsAnswer
from service.answers.quotes import MaterialsQuoteAnswer, amounts_answer, line_answer
from service.planning.quote_lines import DIGITS, QuoteLine, Rounding, in_whole_steps
from service.quilts.kit_body import TEMPLATE_MATERIAL
from service.requests.prices import MaterialPrice, PriceList
from service.requests.quilt_spec import QuiltSpec


def materials_quote(spec: QuiltSpec, materials: MaterialsAnswer) -> MaterialsQuoteAnswer | None:
    """Return the cost of all kits' materials; ``None`` where the request names no price list."""
    if spec.price_list is None:
        return None
    with localcontext(prec=DIGITS):
        return _quote(spec, spec.price_list, materials)


def _quote(spec: QuiltSpec, prices: PriceList, materials: MaterialsAnswer) -> MaterialsQuoteAnswer:
    known = {each.name: each for each in prices.materials}
    found = [
        _line(name, quantity, known.get(name), is_length=is_length)
        for name, quantity, is_length in _needed(spec, materials)
    ]
    lines = [each for each in found if isinstance(each, QuoteLine)]
    rounded = Rounding(prices.currency, prices.decimals)
    amounts = [rounded(line.amount) for line in lines]
    cost = sum(amounts, rounded(Decimal(0)))
    return MaterialsQuoteAnswer(
        price_list=prices.name or None,
        price_list_version=prices.version or None,
        currency=prices.currency,
        rounding=f"each line and each amount per copy is rounded to {rounded}",
        kits=spec.kits,
        lines=[line_answer(*each) for each in zip(lines, amounts, strict=True)],
        cost=amounts_answer(cost, rounded(cost / spec.kits)),
        tax="not included",
        not_priced=[each for each in found if isinstance(each, str)],
    )


def _needed(spec: QuiltSpec, materials: MaterialsAnswer) -> Iterator[tuple[str, float, bool]]:
    """Yield each material's name, what all kits need of it, and whether that is a length in mm."""
    for fabric in materials.fabrics:
        amount = fabric.bought.quoted.amount
        if isinstance(amount, LengthAnswer):
            yield fabric.fabric, amount.buy_mm, True
        else:
            yield fabric.fabric, amount.pre_cuts, False
    yield TEMPLATE_MATERIAL, materials.paper.sheets, False
    finish = materials.finishing_for_all or materials.finish
    yield "binding", finish.binding.buy_mm, True
    yield "backing", finish.backing.chosen.buy_mm, True
    yield "batting", spec.kits, False


def _line(
    name: str, quantity: float, price: MaterialPrice | None, *, is_length: bool
) -> QuoteLine | str:
    """Return a material's line, or why it has none."""
    if price is None or (price.per_sheet is None and price.per_length is None):
        return name
    if is_length != (price.per_length is not None):
        stated, needed = ("sheet", "length") if is_length else ("length", "sheet")
        return f"{name}, whose price is stated per {stated} and is needed per {needed}"
    if price.per_length is None:
        return QuoteLine(
            "material", name, Decimal(quantity), "sheet", price.per_sheet or Decimal(0)
        )
    length = in_whole_steps(quantity, price.step)
    per = Decimal(str(price.length))
    return QuoteLine("material", name, length, "mm", price.per_length, per)
