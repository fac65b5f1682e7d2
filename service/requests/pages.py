"""Pages of lists: which part of one is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate

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


@dataclass(frozen=True)
class BatchQuery(ListPage):
    """A page of the batches with a reference; of all when it is empty."""

    reference: str = ""


class BatchQuerySchema(ListQuerySchema):
    """Which batches, and which part of their list."""

    reference = Text(60, metadata={"description": "the batch's reference, whole"})

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BatchQuery:  # noqa: ANN401 - as above
        return BatchQuery(**data)
