"""What stored kits are searched by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from marshmallow import post_load, validates_schema

from service.requests.kit_number import written_number
from service.requests.kits import date_field
from service.requests.pages import ListPage, ListQuerySchema, number_field
from service.schemas.errors import unusable
from service.schemas.fields import Text

#: 1970-01-01 as days are counted from the first of year 1, and microseconds of a day.
_EPOCH_DAY, _DAY_US = 719_163, 86_400_000_000


@dataclass(frozen=True)
class KitQuery(ListPage):
    """A page of the kits that fit a search.

    ``search`` has what they must fulfil, ``stated`` the parameters that said so.
    """

    search: Mapping[str, Any] = field(default_factory=dict)
    stated: Mapping[str, str] = field(default_factory=dict)


class KitQuerySchema(ListQuerySchema):
    """Which kits, and which part of their list."""

    title = Text(120, metadata={"description": "a part of the title, in any case of letters"})
    number = number_field("the kit's number, as printed; case and hyphen do not matter")
    reference = Text(60, metadata={"description": "the request's reference, whole"})
    date = date_field("the request's")
    shape = Text(64, metadata={"description": "the kind of one of its pieces, such as hexagon"})
    cutter = Text(64, metadata={"description": "the name of one of its cutters"})
    created_from = date_field("created on this day or later, in UTC")
    created_until = date_field("created on this day or earlier, in UTC")

    @validates_schema(skip_on_field_errors=False)
    def _checked(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401 - marshmallow's own
        first, last = data.get("created_from"), data.get("created_until")
        if first and last and first > last:
            raise unusable("This is before `created_from`.", "created_until")

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], stated: Any, **_: Any) -> KitQuery:  # noqa: ANN401
        search: dict[str, Any] = {
            name: str(value)
            for name, value in data.items()
            if name in {"title", "reference", "date", "shape", "cutter"}
        }
        if "number" in data:
            search["number"] = written_number(data["number"])
        if "created_from" in data:
            search["from_us"] = _start_us(data["created_from"].toordinal())
        if "created_until" in data:
            search["before_us"] = _start_us(data["created_until"].toordinal() + 1)
        beside = {name: value for name, value in stated.items() if name not in {"limit", "after"}}
        return KitQuery(data["limit"], data.get("after"), search, beside)


def _start_us(day: int) -> int:
    """Return when a day, counted from the first of year 1, starts in UTC."""
    return (day - _EPOCH_DAY) * _DAY_US
