"""How the colours of a quilt are placed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from service.planning.colours import ColourPlan
from service.schemas.errors import together, unusable
from service.schemas.fields import Int, Strict, Text
from service.schemas.validation import List

MAX_COLOURS = 40
"""Colours of one quilt, each a run of its kit."""
MAX_LISTED = 60_000
"""Names in a list that colours every piece."""


class ColoursSchema(Strict):
    """How colours are placed."""

    by = fields.String(
        validate=validate.OneOf(["pieces", "rounds", "rows", "repeat", "list"]),
        load_default=ColourPlan.by,
    )
    names = List(Text(40, least=1), validate=validate.Length(1, MAX_LISTED), load_default=list)
    shift = Int(
        validate=validate.Range(0, 1000),
        metadata={"description": "by how many names each further row of a repeat starts later"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> ColourPlan:  # noqa: ANN401
        if errors := list(_faults(data)):
            raise together(errors)
        return ColourPlan(data["by"], tuple(data["names"]), data.get("shift", 0))


def _faults(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    by, names = data["by"], data["names"]
    if by != "list" and len(names) > MAX_COLOURS:
        yield unusable(f"Name at most {MAX_COLOURS} colours.", "names")
    if len(set(names)) > MAX_COLOURS:
        yield unusable(f"Use at most {MAX_COLOURS} different colours.", "names")
    if "shift" in data and by != "repeat":
        yield unusable("Only a repeat is shifted.", "shift")
    if by not in {"pieces", "rounds"} and not names:
        yield unusable(f'Colours by "{by}" need names.', "names")
