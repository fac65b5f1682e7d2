"""Prices of a kit's materials and work, as a request or a saved list states them.

Amounts are decimal text, never floats.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.requests.pieces import units
from service.schemas.errors import raise_together, unusable
from service.schemas.fields import CUTTER_NAME, Int, Length, Name, Num, Strict, Text
from service.schemas.structures import Either
from service.schemas.validation import List

MAX_ROWS = 100
"""Materials, consumables or packaging of one request."""
_AMOUNT = r"^[0-9]{1,9}(\.[0-9]{1,6})?$"
_NOTHING = Decimal(0)
_NAME = "A price list's name has lower-case letters, digits and hyphens."


@dataclass(frozen=True)
class MaterialPrice:
    """The price of a material by name: per sheet, or per length in whole steps, mm."""

    name: str
    per_sheet: Decimal | None = None
    per_length: Decimal | None = None
    length: float = 0.0
    step: float = 0.0
    grammage_g_m2: float | None = None


@dataclass(frozen=True)
class Extra:
    """Something that is used up or packed, in a quantity per copy or per batch."""

    name: str
    price: Decimal
    per: str
    quantity: Decimal


@dataclass(frozen=True)
class BenchTime:
    """The rate of work at the bench, and the minutes of it."""

    per_hour: Decimal
    minutes_per_batch: Decimal = _NOTHING
    minutes_per_load: Decimal = _NOTHING
    minutes_per_copy: Decimal = _NOTHING


@dataclass(frozen=True)
class PriceList:
    """The prices that a request states; ``None`` for those that it does not state.

    ``margin`` says whether it is a share of the cost or of the price, and the percentage. ``name``
    and ``version`` are those of the saved list of which this is a copy.
    """

    currency: str
    decimals: int = 2
    name: str = ""
    version: int = 0
    materials: tuple[MaterialPrice, ...] = ()
    machine_per_hour: Decimal | None = None
    hand_cutting_per_hour: Decimal | None = None
    bench: BenchTime | None = None
    consumables: tuple[Extra, ...] | None = None
    packaging: tuple[Extra, ...] | None = None
    margin: tuple[str, Decimal] | None = None


def amount(description: str, **kwargs: Any) -> Name:  # noqa: ANN401 - marshmallow's own
    """Return the field of a decimal number, written as text."""
    return Name(
        _AMOUNT,
        'Write a decimal number as text with a point, such as "12.80", of 9 digits at most.',
        metadata={"description": f'{description}; decimal text, such as "12.80"'},
        **kwargs,
    )


class MaterialPriceSchema(Strict):
    """What a material costs; its name is that of the runs' material."""

    name = Text(80, required=True)
    per_sheet = amount(
        "price of one sheet or piece; each load takes one per layer, and so does the test on a die "
        "or in a hoop"
    )
    per_length = amount("price of `length` of a roll, or of cloth as the run sheet says to buy it")
    length = Length(positive=True, metadata={"description": 'what per_length buys, such as "1 m"'})
    step = Length(
        positive=True,
        metadata={"description": "it is sold in whole multiples of this; left out: any length"},
    )
    grammage_g_m2 = Num(
        validate=validate.Range(0, 10_000, min_inclusive=False),
        metadata={"description": "grams per square metre; gives the weight of the pieces"},
    )

    @validates_schema
    def _is_by_sheet_or_by_length(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        if "per_sheet" in data and "per_length" in data:
            raise unusable("State a price per sheet or per length, not both.", "per_length")
        if ("per_length" in data) != ("length" in data):
            raise unusable('State per_length together with its length, such as "1 m".')
        if "step" in data and "length" not in data:
            raise unusable("A step belongs to a price per length.", "step")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> MaterialPrice:  # noqa: ANN401
        for key in {"per_sheet", "per_length"} & data.keys():
            data[key] = Decimal(data[key])
        return MaterialPrice(**data)


class ExtraSchema(Strict):
    """Something that is used up or packed."""

    name = Text(80, least=1, required=True)
    price = amount("of one", required=True)
    per = fields.String(validate=validate.OneOf(["copy", "batch"]), required=True)
    quantity = amount("how many per copy or batch", load_default="1")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Extra:  # noqa: ANN401
        return Extra(data["name"], Decimal(data["price"]), data["per"], Decimal(data["quantity"]))


class BenchTimeSchema(Strict):
    """Work at the bench: its rate, and the minutes that a batch, a load and a copy take."""

    per_hour = amount("rate", required=True)
    minutes_per_batch = amount("minutes")
    minutes_per_load = amount("minutes")
    minutes_per_copy = amount("minutes")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BenchTime:  # noqa: ANN401
        return BenchTime(**{name: Decimal(value) for name, value in data.items()})


class MarginSchema(Strict):
    """The margin, as a share of the cost or of the price."""

    percent_of_cost = amount("percent added to the cost")
    percent_of_price = amount("percent that the margin is of the price, below 100")

    @validates_schema
    def _is_one(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        if len(data) != 1:
            raise unusable("State either percent_of_cost or percent_of_price.")
        if Decimal(data.get("percent_of_price", "0")) >= 100:  # noqa: PLR2004 - percent
            detail = "A margin is less than 100 percent of the price."
            raise unusable(detail, "percent_of_price")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> tuple[str, Decimal]:  # noqa: ANN401
        ((name, value),) = data.items()
        return name, Decimal(value)


@dataclass(frozen=True)
class SavedPriceList:
    """A price list to be saved, and the JSON that says all of it."""

    prices: PriceList
    document: Mapping[str, Any]


class PriceListSchema(Strict):
    """The prices of a kit. What has no price here is not guessed: it is not priced."""

    inherits_units = True

    title = Text(80)
    units = units()
    currency = Text(12, least=1, required=True, metadata={"description": "such as EUR"})
    decimals = Int(validate=validate.Range(0, 4), load_default=2)
    materials = List(
        fields.Nested(MaterialPriceSchema), validate=validate.Length(0, MAX_ROWS), load_default=[]
    )
    machine_per_hour = amount(
        "rate for the estimated time of all loads, with stops, without cutting by hand"
    )
    hand_cutting_per_hour = amount(
        "rate for the estimated time of cutting by hand along the lines of a pen"
    )
    bench = fields.Nested(BenchTimeSchema)
    consumables = List(fields.Nested(ExtraSchema), validate=validate.Length(0, MAX_ROWS))
    packaging = List(fields.Nested(ExtraSchema), validate=validate.Length(0, MAX_ROWS))
    margin = fields.Nested(MarginSchema)

    @validates_schema
    def _names_are_unique(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        raise_together(_repeated(data["materials"]))

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> PriceList:  # noqa: ANN401
        return _price_list(data)


class QuotedPriceListSchema(PriceListSchema):
    """A price list in a kit's request: its own, or a copy of a saved one."""

    name = Name(
        CUTTER_NAME,
        _NAME,
        metadata={
            "description": "of the saved list that this is a copy of, written by the service"
        },
    )
    version = Int(
        validate=validate.Range(0, 2**31 - 1),
        metadata={"description": "of that list"},
    )


class SavedPriceListSchema(PriceListSchema):
    """A price list to be saved under a name, lengths in its own units."""

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], document: Any, **_: Any) -> Any:  # noqa: ANN401
        return SavedPriceList(_price_list(data), document)


class NamedPriceList(Name):
    """The name of a saved price list.

    ``saved_prices`` replaces the names of saved lists before a request is loaded, so a name that is
    left is not that of a list.
    """

    def __init__(self, **kwargs: Any) -> None:  # noqa: ANN401 - passed on to the field
        super().__init__(CUTTER_NAME, _NAME, **kwargs)

    def deserialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
        """Raise an error that names it."""
        name = super().deserialize(value, *args, **kwargs)
        raise unusable(f'There is no price list named "{name}"; GET /v1/price-lists lists them.')


def prices_field() -> Either:
    """Return the field of a kit's prices: stated, or those of a saved list by name."""
    return Either(
        "PricesChoice",
        [((str,), NamedPriceList()), ((dict,), fields.Nested(QuotedPriceListSchema))],
        wanted="Name a saved price list, or state prices.",
    )


def _price_list(data: dict[str, Any]) -> PriceList:
    for name in ("title", "units"):
        data.pop(name, None)
    for name in {"machine_per_hour", "hand_cutting_per_hour"} & data.keys():
        data[name] = Decimal(data[name])
    lists = {key: tuple(value) for key, value in data.items() if isinstance(value, list)}
    return PriceList(**{**data, **lists})


def _repeated(materials: list[MaterialPrice]) -> Iterator[ValidationError]:
    seen: set[str] = set()
    for index, each in enumerate(materials):
        if each.name in seen:
            detail = f'"{each.name}" has a price above already.'
            yield unusable(detail, "materials", index, "name")
        seen.add(each.name)
