"""Loads whole bodies, so that all errors in one are reported together."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema

from service.errors import pointing_into
from service.pieces.draw import drawing_errors
from service.requests.pieces import OutlinesRequestSchema
from service.sandbox.admission import outlines_are_small
from service.schemas.context import CutterSource, Reading
from service.schemas.loading import Found, load_all, refusal


def load_body(schema: Schema, document: Any, cutters: CutterSource | None = None) -> Any:  # noqa: ANN401 - JSON values in, whatever the schema loads out
    """Return a request's JSON as a schema loads it.

    Args:
        schema: what it must fit.
        document: JSON values.
        cutters: gives the cutters that it names.

    Raises:
        RequestError: with every error, each at a value that the JSON has.
    """
    loaded, found = load_all(schema, document, cutters=cutters)
    if not found:
        return loaded
    if isinstance(schema, OutlinesRequestSchema):
        found += _errors_of_pieces(loaded.get("pieces"), document)
    raise pointing_into(refusal(found), document)


def _errors_of_pieces(loaded: object, document: object) -> list[Found]:
    """Return what is wrong with the outlines of those pieces that could be loaded.

    Drawing many of them takes too long for a request that is refused anyway.
    """
    pieces = loaded if isinstance(loaded, list) else []
    if not outlines_are_small([piece for piece in pieces if piece is not None]):
        return []
    return drawing_errors(pieces, Reading().in_units_of(document).units)[1]
