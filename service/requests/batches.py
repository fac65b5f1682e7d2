"""Batches: many kits asked for at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.requests.callbacks import Callback, callback_field
from service.requests.cutters import cutter_choice
from service.requests.kits import KitRequestSchema, reference_field
from service.requests.pieces import MAX_PIECES
from service.requests.runs import MAX_RUNS
from service.requests.shapes import shape
from service.schemas.errors import together, unusable
from service.schemas.fields import Int, Strict, Text, WrittenLength, piece_id
from service.schemas.structures import Checked, Keyed
from service.schemas.validation import List

MAX_LISTED = 2000
"""Requests, shapes, sizes or cutters listed in one batch."""
_LISTS = ("shapes", "sizes", "cutters", "pieces", "runs")
Json = Mapping[str, Any]


@dataclass(frozen=True)
class BatchRequest:
    """Many kits: whole requests, or one with lists of what changes in it.

    What its kits are made from stays as it was written, to be kept; each kit's request is loaded
    where the kit is made.
    """

    title: str = ""
    requests: Sequence[Json] = ()
    request: Json = field(default_factory=dict)
    shapes: Sequence[Json] = ()
    sizes: Sequence[Json] = ()
    cutters: Sequence[str | Json] = ()
    pieces: Sequence[str] = ()
    runs: Sequence[int] = ()
    reference: str = ""
    callback: Callback | None = None


class BatchRequestSchema(Strict):
    """Many kits: whole requests, or one with lists of what changes in it."""

    names_price_lists = True

    title = Text(120)
    reference = reference_field("also of those of its kits that have none of their own")
    callback = callback_field("when every kit has ended")
    requests = List(
        Checked(fields.Nested(KitRequestSchema)),
        validate=validate.Length(1, MAX_LISTED),
        metadata={"description": "a kit each; or give request"},
    )
    request = Checked(
        fields.Nested(KitRequestSchema),
        metadata={"description": "a kit for every shape, size and cutter listed; or give requests"},
    )
    shapes = List(
        Checked(shape()),
        validate=validate.Length(1, MAX_LISTED),
        metadata={"description": "each in turn in place of the pieces' own"},
    )
    sizes = List(
        Checked(
            Keyed(
                WrittenLength(),
                keys=r"^[a-z][a-z0-9_]{0,31}$",
                meaning="Not the name of a shape's parameter.",
                most=12,
            )
        ),
        validate=validate.Length(1, MAX_LISTED),
        metadata={
            "description": "each in turn in place of the shapes' own, as a shape states it: "
            '{"side": "1 1/2 in"}'
        },
    )
    cutters = List(
        Checked(cutter_choice()),
        validate=validate.Length(1, MAX_LISTED),
        metadata={"description": "each in turn in place of the runs' own"},
    )
    pieces = List(
        piece_id(),
        validate=validate.Length(1, MAX_PIECES),
        metadata={
            "description": "ids of the pieces that shapes and sizes are for; all if left out"
        },
    )
    runs = List(
        Int(validate=validate.Range(1, MAX_RUNS, error="Runs are numbered from 1.")),
        validate=validate.Length(1, MAX_RUNS),
        metadata={
            "description": "numbers, from 1, of the runs that cutters are for; all if left out"
        },
    )

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _one_of_two(self, data: dict[str, Any], stated: Any, **_: Any) -> None:  # noqa: ANN401
        del data
        if errors := list(_misplaced(stated)):
            raise together(errors)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BatchRequest:  # noqa: ANN401
        return BatchRequest(**data)


def _misplaced(stated: Json) -> Iterator[ValidationError]:
    if ("requests" in stated) == ("request" in stated):
        yield unusable("Give either `requests`, or one `request` with lists of changes.")
    elif "requests" in stated:
        for name in _LISTS:
            if name in stated:
                yield unusable("Lists of changes go with one `request`.", name)
    for place, body in _kits(stated):
        if isinstance(body, Mapping) and "callback" in body:
            detail = "A batch calls back once, at its end: give `callback` to the batch itself."
            yield unusable(detail, *place, "callback")


def _kits(stated: Json) -> Iterator[tuple[tuple[str | int, ...], object]]:
    """Yield the place and the request of each kit."""
    if "request" in stated:
        yield ("request",), stated["request"]
    listed = stated.get("requests")
    if isinstance(listed, Sequence):
        for index, body in enumerate(listed[:MAX_LISTED]):
            yield ("requests", index), body
