"""Blocks of a quilt: a block of one's own, and how blocks are set."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from geometry.errors import GeometryError
from geometry.model.outline import Outline
from geometry.planning.blocks import Block, make_block
from geometry.planning.set_pieces import Sashing
from geometry.planning.settings import BlockSetting
from geometry.units import UNIT_MM
from service.requests.pieces import units
from service.schemas.context import current
from service.schemas.errors import of_geometry, together, unread, unusable
from service.schemas.fields import (
    CUTTER_NAME,
    Bool,
    Int,
    Length,
    Name,
    Points,
    Strict,
    Text,
)
from service.schemas.validation import List

MAX_BLOCK_PIECES = 100
_MAX_TURNS = 24
_MIN_SIZE, _MAX_SIZE = 3.0, 3000.0
_TURNS = (0, 90, 180, 270)
_LAYOUTS = ("straight", "on_point")
_SASHING, _CORNERSTONE, _TRIANGLE = "sashing", "cornerstone", "setting triangle"


class BlockPieceSchema(Strict):
    """A straight-sided piece of a block."""

    points = Points(
        required=True,
        metadata={
            "description": "ring of [x, y] from the block's lower left corner, y up, in the "
            "request's units"
        },
    )
    colour = Text(40, least=1, required=True)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> tuple[Outline, str]:  # noqa: ANN401
        known = current()
        if known.units_are_wrong:
            raise unread()
        if known.units is None:
            raise unusable('Points need the request\'s "units" ("in", "mm" or "cm").', "points")
        scale = UNIT_MM[known.units]
        rows = [(row[0] * scale, row[1] * scale, *row[2:]) for row in data["points"]]
        return Outline.of(rows), data["colour"]


class BlockSchema(Strict):
    """A square block of one's own, filled by its pieces, or one by name."""

    inherits_units = True

    units = units()
    name = Name(
        CUTTER_NAME,
        "A block's name has lower-case letters, digits and hyphens.",
        metadata={
            "description": "of a block of the gallery or a saved one, in place of its pieces"
        },
    )
    size = Length(
        required=True,
        min_mm=_MIN_SIZE,
        max_mm=_MAX_SIZE,
        metadata={"description": "finished, along one side"},
    )
    pieces = List(
        fields.Nested(BlockPieceSchema),
        validate=validate.Length(1, MAX_BLOCK_PIECES),
        metadata={"description": "required unless a name is given"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Block:  # noqa: ANN401
        if "name" in data and "pieces" in data:
            raise unusable("Give either a block's name or its pieces.", "name")
        if "name" in data:
            # `saved_blocks` has replaced the names of all blocks that can be used by their pieces.
            detail = (
                f'There is no block named "{data["name"]}" that is a square of straight-sided '
                "pieces; GET /v1/blocks lists all, with in_quilt_plans."
            )
            raise unusable(detail, "name")
        if "pieces" not in data:
            raise unusable("`pieces` is required, or the name of a block.", "pieces")
        try:
            return make_block(data["size"], data["pieces"])
        except GeometryError as error:
            raise of_geometry(error) from None


class SashingSchema(Strict):
    """Strips between blocks, with a cornerstone where they cross."""

    width = Length(required=True, min_mm=_MIN_SIZE, max_mm=_MAX_SIZE)
    colour = Text(40, least=1, load_default=_SASHING)
    cornerstone_colour = Text(40, least=1, load_default=_CORNERSTONE)
    outer = Bool(
        load_default=False, metadata={"description": "also round the outside, in a straight layout"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Sashing:  # noqa: ANN401
        return Sashing(data["width"], data["colour"], data["cornerstone_colour"], data["outer"])


class SettingSchema(Strict):
    """How blocks are set."""

    layout = fields.String(
        validate=validate.OneOf(_LAYOUTS),
        load_default="straight",
        metadata={
            "description": "on_point: blocks stand on their tips, with blocks between them and "
            "triangles at the edges"
        },
    )
    turns_deg = List(
        List(Int(validate=validate.OneOf(_TURNS)), validate=validate.Length(1, _MAX_TURNS)),
        validate=validate.Length(1, _MAX_TURNS),
        metadata={
            "description": "turns of the blocks counter-clockwise, row by row from the lower left, "
            "repeated over the quilt"
        },
    )
    mirrored = List(
        List(Bool(), validate=validate.Length(1, _MAX_TURNS)),
        validate=validate.Length(1, _MAX_TURNS),
        metadata={
            "description": "whether blocks are mirrored, left to right and before they are turned, "
            "row by row from the lower left, repeated over the quilt"
        },
    )
    sashing = fields.Nested(SashingSchema)
    alternate_colour = Text(
        40,
        least=1,
        metadata={"description": "of plain squares in place of every other block"},
    )
    triangle_colour = Text(
        40, least=1, metadata={"description": "of the triangles at the edges, on point"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BlockSetting:  # noqa: ANN401
        if errors := list(_faults(data)):
            raise together(errors)
        return BlockSetting(
            is_on_point=data["layout"] == "on_point",
            turns_deg=tuple(tuple(row) for row in data.get("turns_deg", [[0]])),
            mirrored=tuple(tuple(row) for row in data.get("mirrored", [[False]])),
            sashing=data.get("sashing"),
            alternate_colour=data.get("alternate_colour", ""),
            triangle_colour=data.get("triangle_colour", _TRIANGLE),
        )


def _faults(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    is_on_point = data["layout"] == "on_point"
    if is_on_point and "sashing" in data and data["sashing"].is_outer:
        detail = "On point, sashing ends at the edges: leave outer out, or add a border."
        yield unusable(detail, "sashing", "outer")
    if not is_on_point and "triangle_colour" in data:
        detail = "Only blocks on point have setting triangles: leave this out, or set layout to "
        yield unusable(f'{detail}"on_point".', "triangle_colour")
    for name, what in (("turns_deg", "turns"), ("mirrored", "values")):
        rows: Sequence[Sequence[int]] = data.get(name, [[0]])
        for index, row in enumerate(rows):
            if len(row) != len(rows[0]):
                detail = (
                    f"Every row has as many {what} as the first, {len(rows[0])}; it has {len(row)}."
                )
                yield unusable(detail, name, index)


def wrong_blocks(data: Mapping[str, Any], stated: object) -> Iterator[ValidationError]:
    """Yield an error unless a quilt has either a tiling or a block, and edges that it can have."""
    if not isinstance(stated, Mapping):
        return
    if "tiling" in stated and "block" in stated:
        yield unusable("Give either a tiling or a block of your own.", "block")
    if "tiling" not in stated and "block" not in stated:
        yield unusable("`tiling` is required, or a `block` of your own.", "tiling")
    setting, edge = data.get("setting"), data.get("edge")
    edges = set(edge.values()) if isinstance(edge, Mapping) else {edge}
    if isinstance(setting, BlockSetting) and setting.is_on_point and "trimmed" in edges:
        detail = "On point the edges are straight and end at setting triangles; leave this out."
        yield unusable(detail, "edge")
