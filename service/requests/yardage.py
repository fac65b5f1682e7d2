"""Yardage: pieces, and the fabric they are cut from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.requests.edges import CornerChoice, CornersSchema, SeamAllowance
from service.requests.fabrics import Bought, FabricSettingsSchema, SettingsField
from service.requests.pieces import (
    MAX_PIECES,
    MAX_QUANTITY,
    PieceRequest,
    Turns,
    grain,
    turns_of,
    units,
)
from service.requests.shapes import shape
from service.schemas.errors import together, unusable
from service.schemas.fields import Bool, Int, Length, Strict, Text
from service.schemas.validation import List

#: A tenth of a millimetre, as for all shapes: no cloth is cut more finely.
_MIN_SIZE = 0.1
#: Turns of a cut size that may lie across the grain: on the bias it would stretch. Common practice,
#: no source.
_QUARTERS = (0.0, 90.0, 180.0, 270.0)


@dataclass(frozen=True)
class YardagePiece:
    """A piece as cut: its width and length in mm, or what it is drawn from.

    ``fabric`` is the name of what it is cut from; empty for the request's own. ``turns`` are those
    that its grain allows, from how it is drawn.
    """

    id: str
    quantity: int
    size: tuple[float, float] | PieceRequest
    fabric: str = ""
    turns: Turns = "half-turn"


@dataclass(frozen=True)
class YardageRequest:
    """Pieces for a number of kits, and the fabric they are cut from."""

    units: str | None
    pieces: tuple[YardagePiece, ...]
    fabric: Bought
    kits: int


class YardagePieceSchema(Strict):
    """A piece as cut: its width and length, or a shape with its seam allowance."""

    id = Text(32, least=1)
    width = Length(min_mm=_MIN_SIZE, metadata={"description": "as cut, across the fabric"})
    length = Length(min_mm=_MIN_SIZE, metadata={"description": "as cut, along the fabric"})
    shape = shape()
    seam_allowance = Length(
        load_default=0.0, metadata={"description": "of the shape; none when left out"}
    )
    corners = fields.Nested(CornersSchema)
    quantity = Int(required=True, validate=validate.Range(1, MAX_QUANTITY))
    fabric = Text(
        80,
        load_default="",
        metadata={"description": "pieces of one name are cut from one fabric"},
    )
    grain = grain()
    may_turn_across_grain = Bool(
        metadata={
            "description": "true: a shape may be turned freely, and a cut size by quarters, so "
            "that it keeps to the straight grain; false stands for grain half-turn. When both are "
            "left out, a shape may be turned freely, as in a kit, and a cut size by half a turn"
        }
    )

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _one_of_two(self, data: dict[str, Any], stated: Any, **_: Any) -> None:  # noqa: ANN401
        del data
        if isinstance(stated, Mapping) and (errors := list(_misplaced(stated))):
            raise together(errors)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> YardagePiece:  # noqa: ANN401
        size: tuple[float, float] | PieceRequest
        if "shape" in data:
            size = PieceRequest(
                "A",
                data["shape"],
                seam_allowance=SeamAllowance(data["seam_allowance"]),
                corners=data.get("corners", CornerChoice()),
            )
        else:
            size = data["width"], data["length"]
        return YardagePiece(
            data.get("id", ""), data["quantity"], size, data["fabric"], _turns(data)
        )


def _turns(data: Mapping[str, Any]) -> Turns:
    if "grain" in data:
        return turns_of(data["grain"])
    if not data.get("may_turn_across_grain", "shape" in data):
        return "half-turn"
    return "free" if "shape" in data else _QUARTERS


def _misplaced(stated: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error for each member that does not go with the others, or is missing."""
    if "grain" in stated and "may_turn_across_grain" in stated:
        yield unusable("Give either this or `grain`.", "may_turn_across_grain")
    if "shape" in stated:
        for name in ("width", "length"):
            if name in stated:
                yield unusable("Give either a shape or the cut size.", name)
        return
    for name in ("seam_allowance", "corners"):
        if name in stated:
            yield unusable("This needs a shape; width and length are cut sizes.", name)
    for name in ("width", "length"):
        if name not in stated:
            yield unusable("Give the piece's cut width and length, or a shape.", name)


class YardageRequestSchema(Strict):
    """Pieces, and the fabric they are cut from."""

    units = units()
    pieces = List(
        fields.Nested(YardagePieceSchema), required=True, validate=validate.Length(1, MAX_PIECES)
    )
    fabric = SettingsField(FabricSettingsSchema)
    kits = Int(
        validate=validate.Range(1, 1000),
        load_default=1,
        metadata={"description": "as many alike"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> YardageRequest:  # noqa: ANN401
        return YardageRequest(
            data.get("units"), tuple(data["pieces"]), data["fabric"], data["kits"]
        )
