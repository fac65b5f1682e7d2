"""Large bodies: checked and loaded by the child process that then uses what they say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from marshmallow import Schema

from service.errors import ReportedError, pointing_into
from service.requests.saved_blocks import with_saved_block
from service.requests.saved_prices import with_saved_prices
from service.sandbox.bodies import load_body
from service.schemas import strict_json

Named = Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class UnloadedBody:
    """A JSON body, and what it is loaded with.

    Args:
        raw: the body.
        schema: what it must fit.
        max_depth: to which it may be nested.
        cutters: that it may name, by name.
        price_lists: that it may name, by name.
        blocks: that it may name, by name.
    """

    raw: bytes
    schema: type[Schema]
    max_depth: int
    cutters: Named = field(default_factory=dict)
    price_lists: Named = field(default_factory=dict)
    blocks: Named = field(default_factory=dict)

    def load(self) -> tuple[Any, Any]:
        """Return the body as its schema loads it, and its JSON values.

        Raises:
            RequestError: with every error.
        """
        document = strict_json.loads(self.raw, max_depth=self.max_depth)
        document = with_saved_prices(document, self.price_lists.get)
        member = getattr(self.schema, "names_blocks", "")
        document = with_saved_block(document, member, self.blocks.get)
        return load_body(self.schema(), document, self.cutters.get), document


@contextmanager
def loaded(body: Any) -> Iterator[Any]:  # noqa: ANN401 - as its schema loads it
    """Load a body unless that is done, for this block, whose errors point into its JSON values."""
    if not isinstance(body, UnloadedBody):
        yield body
        return
    request, document = body.load()
    try:
        yield request
    except ReportedError as error:
        raise pointing_into(error, document) from error
