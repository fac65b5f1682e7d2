"""Prices and working speeds of a quilt plan: stated, or those of a price list."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from service.planning import cost
from service.requests.fabrics import Bought
from service.requests.prices import NamedPriceList, QuotedPriceListSchema
from service.schemas.errors import unusable
from service.schemas.fields import Num, Strict
from service.schemas.structures import Either


def _price(description: str) -> Num:
    return Num(validate=validate.Range(0, 1_000_000), metadata={"description": description})


class PricesSchema(Strict):
    """Prices in any one currency."""

    fabric = _price("of one step of fabric; patches, binding and backing")
    pre_cut = _price("of one pre-cut piece of fabric")
    sheet = _price("of one sheet of paper or card")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> cost.Prices:  # noqa: ANN401
        return cost.Prices(data.get("fabric"), data.get("pre_cut"), data.get("sheet"))


class PlanPrices(Either):
    """Prices of one's own, or those of a price list: by its name, or written out."""

    def __init__(self) -> None:
        self._list = fields.Nested(QuotedPriceListSchema)
        super().__init__(
            "PlanPricesChoice",
            [
                ((str,), NamedPriceList()),
                ((dict,), fields.Nested(PricesSchema)),
                ((dict,), self._list),
            ],
            wanted="Name a saved price list, or state prices.",
            metadata={
                "description": "of the materials; a price list is also the one that the plan's "
                "kit is quoted by"
            },
        )

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
        if isinstance(value, dict) and not _PLAIN.issuperset(value):
            return self._list.deserialize(value)
        return super()._deserialize(value, *args, **kwargs)


_PLAIN = frozenset(PricesSchema().load_fields)


class SpeedsSchema(Strict):
    """How fast one works."""

    pieces_per_hour = Num(validate=validate.Range(0.1, 10_000), metadata={"description": "basted"})
    stitches_per_minute = Num(
        validate=validate.Range(0.1, 10_000), metadata={"description": "sewn"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> cost.Speeds:  # noqa: ANN401
        return cost.Speeds(data.get("pieces_per_hour"), data.get("stitches_per_minute"))


def wrong_prices(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield a price that is missing or one too many, so that no total leaves out the patches."""
    prices, fabric = data.get("prices"), data.get("fabric")
    if not isinstance(prices, cost.Prices) or not isinstance(fabric, Bought):
        return
    pre_cut = fabric.pre_cut
    if pre_cut is None and prices.pre_cut is not None:
        yield unusable("This fabric is sold by the length; leave this out.", "prices", "pre_cut")
    if pre_cut is not None and prices.fabric is not None and prices.pre_cut is None:
        detail = f"Patches are cut from pre-cut pieces here: state the price of one {pre_cut.name}."
        yield unusable(detail, "prices", "pre_cut")
