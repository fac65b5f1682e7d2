"""Pages of lists: which part of one is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate

from service.schemas.fields import Digits, Strict


@dataclass(frozen=True)
class Page:
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
    def _made(self, data: dict[str, Any], **_: Any) -> Page:  # noqa: ANN401 - marshmallow's own
        return Page(**data)
