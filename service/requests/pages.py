"""Pages of lists: which part of one is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate

from service.requests.kit_number import WRITTEN, written_number
from service.schemas.fields import Digits, Strict, Text


@dataclass(frozen=True)
class ListPage:
    """A part of a list: how many entries, and the mark after which they come."""

    limit: int
    after: str | None = None


class ListQuerySchema(Strict):
    """Which part of a list."""

    limit = Digits(
        validate=validate.Range(1, 200),
        load_default=50,
        metadata={"description": "entries on one page"},
    )
    after = fields.String(
        validate=validate.Length(1, 200),
        metadata={"description": "opaque; take it from the link to the next page"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> ListPage:  # noqa: ANN401 - marshmallow's own
        return ListPage(**data)


def number_field(meaning: str) -> fields.String:
    """Return the field of a number as a person writes it."""
    return fields.String(
        validate=written_number, metadata={"description": meaning, "pattern": WRITTEN}
    )


@dataclass(frozen=True)
class BatchQuery(ListPage):
    """A page of the batches with a reference and a number; what is empty fits all."""

    reference: str = ""
    number: str = ""


class BatchQuerySchema(ListQuerySchema):
    """Which batches, and which part of their list."""

    reference = Text(60, metadata={"description": "the batch's reference, whole"})
    number = number_field("the batch's number; case and hyphen do not matter")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BatchQuery:  # noqa: ANN401 - as above
        if "number" in data:
            data["number"] = written_number(data["number"])
        return BatchQuery(**data)
