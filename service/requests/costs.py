"""Prices and working speeds of a quilt plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from marshmallow import ValidationError, post_load, validate

from service.planning import cost
from service.requests.fabrics import Bought
from service.schemas.errors import unusable
from service.schemas.fields import Num, Strict


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
