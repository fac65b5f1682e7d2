"""Schemas of quotes: of a kit, and of a quilt plan's materials."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from service.planning.quote_lines import QuoteLine


@dataclass(frozen=True, kw_only=True)
class QuoteLineAnswer:
    """One line of a quote. Amounts are decimal text."""

    kind: Annotated[str, "material, machine, hand_cutting, bench, consumables or packaging"]
    name: str
    run: Annotated[int | None, "number of the run, of a material"] = None
    quantity: Annotated[
        str,
        "of a kit's material: as much as the run sheet says to get, with its test; of a stock what "
        "is taken",
    ]
    unit: str
    price: Annotated[str, "of price_per units"]
    price_per: Annotated[str, "such as 60 min of an hour"]
    amount: Annotated[str, "quantity x price / price_per, rounded"]
    basis: Annotated[str | None, "of a kit's material: what the quantity counts"] = None


def line_answer(line: QuoteLine, amount: Decimal) -> QuoteLineAnswer:
    """Return a line as answers state it."""
    return QuoteLineAnswer(
        kind=line.kind,
        name=line.name,
        run=line.run,
        quantity=f"{line.quantity.normalize():f}",
        unit=line.unit,
        price=f"{line.price:f}",
        price_per=f"{line.price_per.normalize():f}",
        amount=f"{amount:f}",
        basis=line.basis,
    )


@dataclass(frozen=True, kw_only=True)
class AmountsAnswer:
    """An amount of all copies, and its share of one."""

    per_batch: str
    per_copy: str


def amounts_answer(batch: Decimal, copy: Decimal) -> AmountsAnswer:
    """Return amounts as answers state them."""
    return AmountsAnswer(per_batch=f"{batch:f}", per_copy=f"{copy:f}")


@dataclass(frozen=True, kw_only=True)
class MaterialsQuoteAnswer:
    """What a plan's materials cost by a price list; its kit's quote states work and margin too."""

    price_list: Annotated[str | None, "the saved list that the plan names"] = None
    price_list_version: Annotated[int | None, "of that list"] = None
    currency: str
    rounding: str
    kits: int
    lines: Annotated[
        Sequence[QuoteLineAnswer],
        "fabrics by their names, card, binding, backing and batting, as the list names them",
    ]
    cost: Annotated[AmountsAnswer, "per batch: all kits; per copy: one kit"]
    tax: Annotated[str, "left to the shop"]
    not_priced: Annotated[
        Sequence[str], "materials that the cost leaves out, because no price is stated for them"
    ]


@dataclass(frozen=True, kw_only=True)
class WeightAnswer:
    """The weight of the pieces, without packaging."""

    per_copy_g: float
    per_batch_g: float
    not_weighed: Annotated[Sequence[str], "runs without a grammage"]


@dataclass(frozen=True, kw_only=True)
class QuoteAnswer:
    """The price of a kit, from the request's prices alone."""

    price_list: Annotated[str | None, "the saved list that the kit names"] = None
    price_list_version: Annotated[int | None, "of that list"] = None
    currency: str
    rounding: str
    copies: int
    lines: Sequence[QuoteLineAnswer]
    cost: AmountsAnswer
    margin: AmountsAnswer
    price: Annotated[AmountsAnswer, "cost and margin, without tax"]
    tax: Annotated[str, "left to the shop"]
    not_priced: Annotated[
        Sequence[str], "what the price leaves out, because no price is stated for it"
    ]
    weight: Annotated[WeightAnswer | None, "where a grammage is stated"] = None
