"""Schemas of answers about quilts, yardage and finishing."""

from __future__ import annotations

from marshmallow import fields, validate

from service.answers.fabrics import FabricAnswer
from service.answers.quilt_sizes import (
    AssembledAnswer,
    BorderAnswer,
    EdgesAnswer,
    NearestTopSizesAnswer,
    mm,
    whole_number,
)
from service.requests.kits import KitRequestSchema
from service.requests.shapes import shape
from service.schemas.answers import AnswerSchema


class TilingAnswer(AnswerSchema):
    """A way to tile a quilt."""

    name = fields.String(required=True)
    title = fields.String(required=True)
    description = fields.String(required=True)
    sizes = fields.Dict(
        keys=fields.String(),
        values=fields.String(),
        required=True,
        metadata={"description": "the lengths that size it, with descriptions"},
    )
    counts = fields.Dict(
        keys=fields.String(),
        values=fields.Dict(keys=fields.String(), values=fields.Integer()),
        required=True,
        metadata={"description": "its whole numbers, with minimum, maximum and default"},
    )
    kinds = fields.List(
        fields.String(), required=True, metadata={"description": "kinds of its whole pieces"}
    )
    edges = fields.List(fields.String(), required=True)


class TilingList(AnswerSchema):
    """All tilings."""

    tilings = fields.List(fields.Nested(TilingAnswer), required=True)


class BedAnswer(AnswerSchema):
    """The bed that a quilt's size was calculated from."""

    name = fields.String(required=True)
    mattress_width_mm = mm()
    mattress_length_mm = mm()
    drop_mm = mm()
    tuck_mm = mm()


class QuiltSizeAnswer(AnswerSchema):
    """The requested size."""

    width_mm = mm()
    length_mm = mm()
    bed = fields.Nested(BedAnswer)


class BindingAnswer(AnswerSchema):
    """Strips round a quilt."""

    length_mm = mm("of the whole binding, including corners and joins")
    strips = whole_number("strips cut across the fabric")
    strip_mm = mm("width of a strip as cut")
    fabric_length_mm = mm("for the strips")
    buy_mm = mm("in whole steps")
    buy = fields.String(required=True)
    unused_mm = mm()


class PanelsAnswer(AnswerSchema):
    """One way to join a backing from panels."""

    seams = fields.String(required=True, validate=validate.OneOf(["lengthwise", "crosswise"]))
    panels = whole_number("widths of fabric side by side")
    panel_length_mm = mm()
    fabric_length_mm = mm("for the panels")
    buy_mm = mm("in whole steps")
    buy = fields.String(required=True)
    unused_mm = mm()
    clearance_width_mm = mm("surplus width of the joined panels")


class BackingAnswer(PanelsAnswer):
    """A backing, and the other way to join it."""

    width_mm = mm("of the backing")
    length_mm = mm("of the backing")
    alternative = fields.Nested(PanelsAnswer, required=True)


class BattingAnswer(AnswerSchema):
    """Wadding between top and backing."""

    width_mm = mm()
    length_mm = mm()


class FinishingAnswer(AnswerSchema):
    """Binding, backing and batting for a quilt."""

    quilt = fields.Nested(QuiltSizeAnswer, required=True)
    binding = fields.Nested(BindingAnswer, required=True)
    backing = fields.Nested(BackingAnswer, required=True)
    batting = fields.Nested(BattingAnswer, required=True)


class YardageAnswer(AnswerSchema):
    """The fabrics for pieces."""

    fabrics = fields.List(fields.Nested(FabricAnswer), required=True)


class SheetRowAnswer(AnswerSchema):
    """Sheets of paper or card for one shape."""

    shape = fields.String(required=True)
    templates = whole_number("to cut")
    per_sheet = whole_number("on a full sheet")
    sheets = whole_number("sheets to buy")
    method = fields.String(
        metadata={"description": "interlocked, or boxes, which may need more sheets"}
    )
    sheet_width_mm = mm(
        "of a larger sheet, for a shape that the usual one does not hold", required=False
    )
    sheet_height_mm = mm(required=False)


class PaperAnswer(AnswerSchema):
    """Paper or card for the templates."""

    sheet = fields.String(required=True)
    width_mm = mm()
    height_mm = mm()
    reuse = whole_number("uses of one template")
    templates = whole_number("in all")
    sheets = whole_number("in all, larger ones included")
    rows = fields.List(fields.Nested(SheetRowAnswer), required=True)


class MaterialsAnswer(AnswerSchema):
    """The materials for a planned quilt."""

    fabrics = fields.List(fields.Nested(FabricAnswer), required=True)
    paper = fields.Nested(PaperAnswer, required=True)
    binding = fields.Nested(BindingAnswer, required=True)
    backing = fields.Nested(BackingAnswer, required=True)
    batting = fields.Nested(BattingAnswer, required=True)


class PlannedPieceAnswer(AnswerSchema):
    """Equal pieces of one colour."""

    id = fields.String(required=True)
    shape = shape(required=True)
    quantity = whole_number("pieces in one quilt")
    part = fields.String(
        required=True,
        validate=validate.OneOf(["whole", "half", "trimmed", "border"]),
        metadata={
            "description": "half: drafted to fill the edge; trimmed: sewn whole, then cut to size; "
            "border: a piece or cornerstone of a border"
        },
    )
    colour = fields.String(required=True)
    share = fields.Float(required=True, metadata={"description": "share of the whole piece's area"})


class QuiltTotalsAnswer(AnswerSchema):
    """How many pieces a quilt has."""

    pieces = whole_number("in all")
    whole = whole_number("whole")
    half = whole_number("drafted to fill the edge")
    trimmed = whole_number("sewn whole, then cut to size")
    border = whole_number("strips, pieces and cornerstones of borders")


class SeamsAnswer(AnswerSchema):
    """The amount of sewing."""

    length_mm = mm("of all seams")
    count = whole_number("edges shared by two pieces")
    outside_mm = mm("total length of outer edges")
    stitches = whole_number("whipstitches in all seams")


def _money(description: str, *, required: bool = False) -> fields.Float:
    return fields.Float(required=required, metadata={"description": description})


class CostAnswer(AnswerSchema):
    """The cost of materials, in the currency of the prices; for all kits unless stated."""

    fabric = _money("by the length: patches, binding, backing")
    pre_cuts = _money("pre-cut pieces")
    paper = _money("sheets of paper or card")
    total = _money("all kits", required=True)
    per_kit = _money("one kit's share", required=True)


def _seconds(description: str, *, required: bool = False) -> fields.Float:
    return fields.Float(required=required, metadata={"description": description})


class TimeAnswer(AnswerSchema):
    """Estimated working times."""

    basting_s = _seconds("of one kit")
    sewing_s = _seconds("of one kit")
    per_kit_s = _seconds("total of the known times for one kit", required=True)
    total_s = _seconds("of all kits", required=True)


class FlowerAnswer(AnswerSchema):
    """One flower of hexagons."""

    pieces = whole_number("of its centre and rounds")
    pieces_with_path = whole_number("the same with its share of the path")


class QuiltPlanAnswer(AnswerSchema):
    """A quilt: its pieces, materials, picture, and the kit that cuts it."""

    title = fields.String(required=True)
    tiling = fields.String(required=True)
    counts = fields.Dict(
        keys=fields.String(),
        values=fields.Integer(),
        required=True,
        metadata={"description": "the tiling's whole numbers, stated or chosen"},
    )
    flower = fields.Nested(
        FlowerAnswer, metadata={"description": "present for a tiling of flowers"}
    )
    quilt = fields.Nested(QuiltSizeAnswer, required=True)
    assembled = fields.Nested(AssembledAnswer, required=True)
    top = fields.Nested(
        AssembledAnswer, required=True, metadata={"description": "inside the borders"}
    )
    nearest_sizes = fields.Nested(NearestTopSizesAnswer, required=True)
    borders = fields.List(
        fields.Nested(BorderAnswer),
        required=True,
        metadata={"description": "from the inside out"},
    )
    edge = fields.Nested(EdgesAnswer, required=True)
    pieces = fields.List(fields.Nested(PlannedPieceAnswer), required=True)
    totals = fields.Nested(QuiltTotalsAnswer, required=True)
    colours = fields.Dict(
        keys=fields.String(),
        values=fields.Integer(),
        required=True,
        metadata={"description": "pieces of each colour"},
    )
    seams = fields.Nested(SeamsAnswer, required=True)
    materials = fields.Nested(MaterialsAnswer, required=True)
    cost = fields.Nested(CostAnswer, metadata={"description": "present when prices are stated"})
    time = fields.Nested(TimeAnswer, metadata={"description": "present when speeds are stated"})
    kits = whole_number("number of equal kits; fabrics and paper are for all of them")
    kit = fields.Nested(
        KitRequestSchema, required=True, metadata={"description": "a body for POST /v1/kits"}
    )
    picture = fields.String(required=True, metadata={"description": "SVG of the quilt"})
    warnings = fields.List(
        fields.String(),
        required=True,
        metadata={
            "description": "a size that differs by more than 2 % from the one requested, templates "
            "that need a larger sheet"
        },
    )
