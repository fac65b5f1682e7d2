"""Quilts, yardage and finishing: what is asked."""

from __future__ import annotations

from marshmallow import fields, validate

from geometry.planning.beds import MATTRESSES_IN
from geometry.planning.tilings import TILINGS
from service.requests.fields import CUTTER_NAME, Bool, Either, Int, Length, Name, Num, Strict, Text
from service.requests.schemas.pieces import MOST_PIECES, MOST_QUANTITY, Corners, units
from service.requests.schemas.shapes import shape
from service.requests.validation import List

EDGES = ("whole", "trimmed", "filled")
MOST_COLOURS = 40
"""Colours of one quilt, each a run of its kit."""
MOST_LISTED = 60_000
"""Names in a list that colours every piece."""
PRE_CUTS = ("fat_quarter", "fat_quarter_metric", "fat_eighth", "strip", "square_5", "square_10")


def _percent(description: str, most: float) -> Num:
    return Num(
        validate=validate.Range(0, most), metadata={"description": description, "default": 0}
    )


def _price(description: str) -> Num:
    return Num(validate=validate.Range(0, 1_000_000), metadata={"description": description})


class Quilt(Strict):
    """A quilt's size: its own, or a bed's with its drop and tuck."""

    width = Length()
    length = Length()
    bed = fields.String(validate=validate.OneOf(list(MATTRESSES_IN)))
    mattress_width = Length(metadata={"description": "where the real bed differs"})
    mattress_length = Length(metadata={"description": "where the real bed differs"})
    drop = Length(metadata={"description": "over the bed's sides and foot; 12 in when left out"})
    tuck = Length(metadata={"description": "under the pillows; none when left out"})


class Edge(Strict):
    """How a quilt's edges are made: of whole pieces, trimmed to size, or filled with halves."""

    sides = fields.String(
        validate=validate.OneOf(EDGES), metadata={"description": "left and right"}
    )
    ends = fields.String(validate=validate.OneOf(EDGES), metadata={"description": "top and bottom"})


class Colours(Strict):
    """How colours are placed."""

    by = fields.String(
        validate=validate.OneOf(["pieces", "rounds", "rows", "repeat", "list"]),
        metadata={"default": "pieces"},
    )
    names = List(Text(40, least=1), validate=validate.Length(1, MOST_LISTED))
    shift = Int(
        validate=validate.Range(0, 1000),
        metadata={"description": "by how many names each further row of a repeat starts later"},
    )


class FabricSettings(Strict):
    """Fabric as it is bought."""

    name = Text(80)
    width = Length(metadata={"description": "usable, between selvedges; 40 in when left out"})
    step = Length(metadata={"description": "to which length is rounded up; 1/8 yd or 0.1 m"})
    shrinkage_percent = _percent("of its length, lost in the wash before it is cut", 50)
    spoilage_percent = _percent("pieces cut beyond those needed", 100)
    directional = Bool(metadata={"description": "its print has an upper end: no piece is turned"})
    pre_cut = Either(
        "PreCut",
        [
            ((str,), fields.String(validate=validate.OneOf(PRE_CUTS))),
            ((dict,), fields.Nested("PreCutSize")),
        ],
        wanted=f"Name one of {', '.join(PRE_CUTS)}, or give its width and length.",
        metadata={"description": "bought cut to size instead of by the length"},
    )


class PreCutSize(Strict):
    """A pre-cut piece of fabric of any size."""

    width = Length(required=True)
    length = Length(required=True)


class BindingSettings(Strict):
    """Strips round a quilt."""

    strip = Length(metadata={"description": "width as cut; 2 1/2 in when left out"})
    usable_width = Length(metadata={"description": "length of a strip; 40 in when left out"})
    extra = Length(metadata={"description": "for corners and joins; 10 in when left out"})
    step = Length(metadata={"description": "to which fabric is rounded up"})


class BackingSettings(Strict):
    """Fabric behind a quilt, joined of panels."""

    extra_each_side = Length(metadata={"description": "4 in when left out"})
    usable_width = Length(metadata={"description": "40 in when left out"})
    join_seam = Length(metadata={"description": "allowance of the joins; none when left out"})
    seams = fields.String(
        validate=validate.OneOf(["lengthwise", "crosswise", "least"]),
        metadata={"description": "which way the joins run", "default": "lengthwise"},
    )
    step = Length(metadata={"description": "to which fabric is rounded up"})


class BattingSettings(Strict):
    """Wadding between top and backing."""

    extra_each_side = Length(metadata={"description": "4 in when left out"})


class FinishingRequest(Strict):
    """What a quilt of a size takes to be finished."""

    units = units()
    quilt = fields.Nested(Quilt, required=True)
    binding = fields.Nested(BindingSettings)
    backing = fields.Nested(BackingSettings)
    batting = fields.Nested(BattingSettings)


class YardagePiece(Strict):
    """A piece as cut: its width and length, or a shape with its seam allowance."""

    id = Text(32, least=1)
    width = Length(metadata={"description": "as cut, across the fabric"})
    length = Length(metadata={"description": "as cut, along the fabric"})
    shape = shape()
    seam_allowance = Length(metadata={"description": "of the shape; none when left out"})
    corners = fields.Nested(Corners)
    count = Int(required=True, validate=validate.Range(1, MOST_QUANTITY))
    fabric = Text(80, metadata={"description": "pieces of one name are cut from one fabric"})
    may_turn_across_grain = Bool(metadata={"description": "whether it may lie across the grain"})


class YardageRequest(Strict):
    """Pieces, and the fabric they are cut from."""

    units = units()
    pieces = List(
        fields.Nested(YardagePiece), required=True, validate=validate.Length(1, MOST_PIECES)
    )
    fabric = fields.Nested(FabricSettings)
    kits = Int(validate=validate.Range(1, 1000), metadata={"description": "as many alike"})


class PaperSettings(Strict):
    """Paper or card for the templates."""

    sheet = fields.String(validate=validate.OneOf(["letter", "a4"]))
    width = Length()
    height = Length()
    margin = Length(metadata={"description": "kept free all round; 1/4 in when left out"})
    gap = Length(metadata={"description": "between templates; 1 mm when left out"})
    reuse = Int(
        validate=validate.Range(1, 1000),
        metadata={"description": "uses of one template", "default": 1},
    )


class Prices(Strict):
    """Prices in any one currency."""

    fabric = _price("of one step of fabric; patches, binding and backing")
    pre_cut = _price("of one pre-cut piece of fabric")
    sheet = _price("of one sheet of paper or card")


class Speeds(Strict):
    """How fast one works."""

    pieces_per_hour = Num(validate=validate.Range(0.1, 10_000), metadata={"description": "basted"})
    stitches_per_minute = Num(
        validate=validate.Range(0.1, 10_000), metadata={"description": "sewn"}
    )


class QuiltPlanRequest(Strict):
    """A quilt of one tiling."""

    units = units()
    title = Text(120)
    tiling = fields.String(required=True, validate=validate.OneOf(list(TILINGS)))
    direction = fields.String(
        validate=validate.OneOf(["upright", "on_side"]),
        metadata={"description": "on_side: rows become columns", "default": "upright"},
    )
    side = Length()
    width = Length()
    height = Length()
    length = Length()
    rounds = Int(validate=validate.Range(1, 20))
    path = Int(validate=validate.Range(0, 6))
    quilt = fields.Nested(Quilt, required=True)
    edge = Either(
        "EdgeChoice",
        [
            ((str,), fields.String(validate=validate.OneOf(EDGES))),
            ((dict,), fields.Nested(Edge)),
        ],
        wanted='Write whole, trimmed or filled, or {"sides": ..., "ends": ...}.',
    )
    colours = fields.Nested(Colours)
    seam_allowance = Length(metadata={"description": "1/4 in when left out"})
    stitches_per_inch = Num(
        validate=validate.Range(1, 40),
        metadata={"description": "whipstitches; 6 to 16 are usual", "default": 10},
    )
    fabric = fields.Nested(FabricSettings)
    paper = fields.Nested(PaperSettings)
    binding = fields.Nested(BindingSettings)
    backing = fields.Nested(BackingSettings)
    batting = fields.Nested(BattingSettings)
    prices = fields.Nested(Prices)
    speeds = fields.Nested(Speeds)
    kits = Int(
        validate=validate.Range(1, 1000), metadata={"description": "as many alike, for a class"}
    )
    cutter = Name(CUTTER_NAME, "A cutter's name has lower-case letters, digits and hyphens.")
