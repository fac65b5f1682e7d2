"""Schemas of a kit's quote."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated


@dataclass(frozen=True, kw_only=True)
class QuoteLineAnswer:
    """One line of a quote. Amounts are decimal text."""

    kind: Annotated[str, "material, machine, hand_cutting, bench, consumables or packaging"]
    name: str
    run: Annotated[int | None, "number of the run, of a material"] = None
    quantity: str
    unit: str
    price: Annotated[str, "of price_per units"]
    price_per: Annotated[str, "such as 60 min of an hour"]
    amount: Annotated[str, "quantity x price / price_per, rounded"]


@dataclass(frozen=True, kw_only=True)
class AmountsAnswer:
    """An amount of all copies, and its share of one."""

    per_batch: str
    per_copy: str


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
