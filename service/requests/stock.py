"""Stock: the sheets, rolls and leftovers that a run may be cut from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from marshmallow import ValidationError, post_load, validate

from geometry.model.outline import Outline
from geometry.model.transform import moved
from service.requests.beds import polygon
from service.requests.prices import amount
from service.schemas.dates import Day
from service.schemas.errors import raise_together, unusable
from service.schemas.fields import Int, Length, Num, Strict, Text
from service.schemas.validation import List

MAX_STOCK = 40
"""Kinds of sheets in one stock."""
MAX_COUNT = 10_000
"""Sheets of one kind."""
#: How sheets are chosen; the first is used when the request does not say.
STOCK_ORDERS: Final = ("lowest_cost", "oldest_first")


@dataclass(frozen=True)
class StockEntry:
    """One kind of sheet, a roll, or a leftover.

    ``outline`` is that of a leftover, its box's lower left corner at 0, 0. ``roll`` is the length
    that is left on a roll. ``price`` is that of one sheet, or of ``price_per`` mm of a roll;
    ``since`` is the date, as ISO 8601 has it, from which it has been in stock; empty for none.
    """

    name: str
    width: float
    height: float | None = None
    outline: Outline | None = None
    roll: float | None = None
    count: int = 1
    price: Decimal | None = None
    currency: str = ""
    price_per: float | None = None
    since: str = ""


class StockEntrySchema(Strict):
    """One kind of sheet, a roll, or a leftover with its outline."""

    name = Text(60, least=1, required=True, metadata={"description": "what it is called"})
    width = Length(positive=True, metadata={"description": "of a sheet; of a roll: across it"})
    height = Length(positive=True, metadata={"description": "of a sheet"})
    outline = List(
        List(Num(), validate=validate.Length(2, 2)),
        validate=validate.Length(3, 500),
        metadata={
            "description": "of a leftover that is no rectangle: its corners [x, y] in the units, "
            "from any point; its lengthwise grain goes up. Only on a flat bed: on a roll state the "
            "`width` and `height` of a rectangle inside it"
        },
    )
    roll = Length(
        positive=True, metadata={"description": "instead of a height: what is left of it"}
    )
    count = Int(
        validate=validate.Range(1, MAX_COUNT),
        load_default=1,
        metadata={"description": "how many there are"},
    )
    price = amount("of one sheet, or of `price_per` of a roll; without one it costs nothing more")
    currency = Text(12, least=1, metadata={"description": "of the price; the same for all stock"})
    price_per = Length(
        positive=True, metadata={"description": 'of a roll: what its price buys, such as "1 m"'}
    )
    since = Day(metadata={"description": "when it came into stock; for oldest_first"})

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> StockEntry:  # noqa: ANN401
        raise_together(_wrong_members(data))
        found = dict(data)
        if "outline" in found:
            outline = polygon(found["outline"], "outline")
            box = outline.bounds
            found["outline"] = moved(outline, -box.left, -box.bottom)
            found["width"], found["height"] = box.width, box.height
        if "price" in found:
            found["price"] = Decimal(found["price"])
        if "since" in found:
            found["since"] = found["since"].isoformat()
        return StockEntry(**found)


def _wrong_members(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield what speaks against the members of one kind of sheet together."""
    if "outline" in data:
        for name in {"width", "height", "roll"} & data.keys():
            yield unusable("A leftover's outline says how large it is; leave this out.", name)
    elif "width" not in data:
        yield unusable("`width` is required, or the `outline` of a leftover.")
    elif ("height" in data) == ("roll" in data):
        detail = "State the `height` of a sheet, or as `roll` the length that is left of a roll."
        yield unusable(detail, *(("roll",) if "roll" in data else ()))
    if "outline" in data and data["count"] > 1:
        yield unusable("No two leftovers have the same outline: list each by itself.", "count")
    if "price_per" in data and ("roll" not in data or "price" not in data):
        yield unusable("Only the price of a roll is that of a length; leave this out.", "price_per")
    if "roll" in data and "price" in data and "price_per" not in data:
        yield unusable('State what length the price of a roll buys as `price_per`: "1 m".', "price")
    if "currency" in data and "price" not in data:
        yield unusable("A currency belongs to a price; leave this out.", "currency")


def wrong_stock(entries: Sequence[StockEntry], currency: str = "") -> Iterator[ValidationError]:
    """Yield what speaks against kinds of sheets together, by index: names, prices, ages.

    Args:
        entries: the stock, as far as it could be loaded.
        currency: of the request's price list, where it has one.
    """
    names: set[str] = set()
    for index, each in enumerate(entries):
        if not isinstance(each, StockEntry):
            continue
        if each.name in names:
            detail = f'Another entry is called "{each.name}" too; names are unique in a stock.'
            yield unusable(detail, index, "name")
        names.add(each.name)
        if each.currency and currency and each.currency != currency:
            detail = (
                f"Prices in {each.currency} and in {currency} cannot be added; "
                f"state this one in {currency}."
            )
            yield unusable(detail, index, "currency")
        currency = currency or each.currency


def in_order_of_age(entries: Sequence[StockEntry]) -> list[int]:
    """Return the numbers of a stock's entries from the oldest on; those without a date last."""
    numbers = range(len(entries))
    return sorted(numbers, key=lambda at: (not entries[at].since, entries[at].since, at))
