"""Answers about saved price lists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from service.requests.prices import SavedPriceListSchema
from service.schemas.answers import FromSchema, Json, Link


@dataclass(frozen=True, kw_only=True)
class PriceListAnswer:
    """A saved price list."""

    name: str
    version: Annotated[int, "counts up each time the price list is saved"]
    price_list: Annotated[Json, FromSchema(SavedPriceListSchema)]
    href: Annotated[Link, "the price list"]


@dataclass(frozen=True, kw_only=True)
class SavedPriceLists:
    """A page of saved price lists, by name."""

    price_lists: Sequence[PriceListAnswer]
    next: Annotated[Link | None, "the next page, if there is one"] = None
