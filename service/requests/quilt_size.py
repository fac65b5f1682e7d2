"""A quilt's size: its own, or a bed's with its drop and tuck."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.planning import beds
from service.schemas.errors import together, unusable
from service.schemas.fields import Length, Strict

_OF_BED = ("mattress_width", "mattress_length", "drop", "tuck")
_OWN = ("width", "length")


@dataclass(frozen=True)
class BedCover:
    """The bed that a quilt is calculated from, lengths in mm."""

    name: str
    mattress_width: float
    mattress_length: float
    drop: float
    tuck: float


@dataclass(frozen=True)
class QuiltSize:
    """A quilt's size, mm, and the bed that it is calculated from."""

    width: float
    length: float
    bed: BedCover | None = None


class QuiltSchema(Strict):
    """A quilt's size: its own, or a bed's with its drop and tuck."""

    width = Length(positive=True)
    length = Length(positive=True)
    bed = fields.String(validate=validate.OneOf(list(beds.MATTRESSES_IN)))
    mattress_width = Length(metadata={"description": "where the real bed differs"})
    mattress_length = Length(metadata={"description": "where the real bed differs"})
    drop = Length(metadata={"description": "over the bed's sides and foot; 12 in when left out"})
    tuck = Length(default_mm=0.0, metadata={"description": "under the pillows"})

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _one_of_two(self, data: dict[str, Any], stated: Any, **_: Any) -> None:  # noqa: ANN401
        del data
        if isinstance(stated, Mapping) and (errors := list(_misplaced(stated))):
            raise together(errors)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> QuiltSize:  # noqa: ANN401
        if "bed" not in data:
            return QuiltSize(data["width"], data["length"])
        bed = data["bed"]
        width, length = beds.mattress(bed)
        cover = BedCover(
            name=bed,
            mattress_width=data.get("mattress_width", width),
            mattress_length=data.get("mattress_length", length),
            drop=data.get("drop", beds.usual_drop(bed)),
            tuck=data["tuck"],
        )
        size = beds.quilt_size(
            cover.mattress_width, cover.mattress_length, drop=cover.drop, tuck=cover.tuck
        )
        return QuiltSize(*size, cover)


def _misplaced(stated: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error for each member that does not go with the others, or is missing."""
    if "bed" in stated:
        for name in _OWN:
            if name in stated:
                detail = "Give either a bed or the quilt's width and length."
                yield unusable(detail, name)
        return
    for name in _OF_BED:
        if name in stated:
            yield unusable("This needs a bed; name the bed too.", name)
    for name in _OWN:
        if name not in stated:
            yield unusable("Give the quilt's width and length, or a bed.", name)
