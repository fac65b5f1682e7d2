"""Schemas of answers about quilts, yardage and finishing."""

from __future__ import annotations

from marshmallow import fields, validate

from service.requests.kits import KitRequestSchema
from service.requests.quilt_plans import EDGES
from service.requests.shapes import shape
from service.schemas.answers import AnswerSchema


def _mm(description: str = "mm", *, required: bool = True) -> fields.Float:
    return fields.Float(required=required, metadata={"description": description})


def _whole(description: str, *, required: bool = True) -> fields.Integer:
    return fields.Integer(required=required, metadata={"description": description})


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
    mattress_width_mm = _mm()
    mattress_length_mm = _mm()
    drop_mm = _mm()
    tuck_mm = _mm()


class QuiltSizeAnswer(AnswerSchema):
    """The requested size."""

    width_mm = _mm()
    length_mm = _mm()
    bed = fields.Nested(BedAnswer)


class BindingAnswer(AnswerSchema):
    """Strips round a quilt."""

    length_mm = _mm("of the whole binding, including corners and joins")
    strips = _whole("strips cut across the fabric")
    strip_mm = _mm("width of a strip as cut")
    fabric_length_mm = _mm("for the strips")
    buy_mm = _mm("in whole steps")
    buy = fields.String(required=True)
    unused_mm = _mm()


class PanelsAnswer(AnswerSchema):
    """One way to join a backing from panels."""

    seams = fields.String(required=True, validate=validate.OneOf(["lengthwise", "crosswise"]))
    panels = _whole("widths of fabric side by side")
    panel_length_mm = _mm()
    fabric_length_mm = _mm("for the panels")
    buy_mm = _mm("in whole steps")
    buy = fields.String(required=True)
    unused_mm = _mm()
    clearance_width_mm = _mm("surplus width of the joined panels")


class BackingAnswer(PanelsAnswer):
    """A backing, and the other way to join it."""

    width_mm = _mm("of the backing")
    length_mm = _mm("of the backing")
    alternative = fields.Nested(PanelsAnswer, required=True)


class BattingAnswer(AnswerSchema):
    """Wadding between top and backing."""

    width_mm = _mm()
    length_mm = _mm()


class FinishingAnswer(AnswerSchema):
    """Binding, backing and batting for a quilt."""

    quilt = fields.Nested(QuiltSizeAnswer, required=True)
    binding = fields.Nested(BindingAnswer, required=True)
    backing = fields.Nested(BackingAnswer, required=True)
    batting = fields.Nested(BattingAnswer, required=True)


class RowsAnswer(AnswerSchema):
    """One size of piece on one fabric."""

    id = fields.String(required=True)
    width_mm = _mm("as cut")
    length_mm = _mm("as cut")
    needed = _whole("pieces requested")
    cut = _whole("pieces cut, including spoilage")
    turned = fields.Boolean(required=True)
    per_row = _whole("pieces side by side", required=False)
    rows = _whole("rows", required=False)
    length_of_rows_mm = _mm(required=False)
    pieces_per_pre_cut = _whole("pieces from one pre-cut piece", required=False)
    pre_cuts = _whole("pre-cut pieces", required=False)
    spare = _whole("more pieces that could be cut", required=False)
    method = fields.String(
        metadata={"description": "how triangles that share a rectangle are cut from it"}
    )


class FabricAnswer(AnswerSchema):
    """The amount to buy of one fabric: a length, or pre-cut pieces."""

    fabric = fields.String(required=True)
    per_row = fields.Integer(
        allow_none=True, metadata={"description": "of the only size; null if there are several"}
    )
    rows = _whole("of all sizes", required=False)
    length_mm = _mm("for the rows", required=False)
    length_before_wash_mm = _mm(
        "length for the rows before washing, including shrinkage", required=False
    )
    buy_mm = _mm("in whole steps", required=False)
    buy = fields.String(required=True)
    unused_mm = _mm("bought but not used", required=False)
    usable_width_mm = _mm(required=False)
    pre_cut = fields.String()
    pre_cut_width_mm = _mm(required=False)
    pre_cut_length_mm = _mm(required=False)
    pre_cuts = _whole("pre-cut pieces to buy", required=False)
    pieces = fields.List(fields.Nested(RowsAnswer), required=True)


class YardageAnswer(AnswerSchema):
    """The fabrics for pieces."""

    fabrics = fields.List(fields.Nested(FabricAnswer), required=True)


class SheetRowAnswer(AnswerSchema):
    """Sheets of paper or card for one shape."""

    shape = fields.String(required=True)
    templates = _whole("to cut")
    per_sheet = _whole("on a full sheet", required=False)
    sheets = _whole("sheets to buy", required=False)
    method = fields.String(
        metadata={"description": "interlocked, or boxes, which may need more sheets"}
    )
    fault = fields.String(metadata={"description": "why it does not fit on a sheet"})


class PaperAnswer(AnswerSchema):
    """Paper or card for the templates."""

    sheet = fields.String(required=True)
    width_mm = _mm()
    height_mm = _mm()
    reuse = _whole("uses of one template")
    templates = _whole("in all")
    sheets = _whole("total for the shapes that fit")
    rows = fields.List(fields.Nested(SheetRowAnswer), required=True)


class MaterialsAnswer(AnswerSchema):
    """The materials for a planned quilt."""

    fabrics = fields.List(fields.Nested(FabricAnswer), required=True)
    paper = fields.Nested(PaperAnswer, required=True)
    binding = fields.Nested(BindingAnswer, required=True)
    backing = fields.Nested(BackingAnswer, required=True)
    batting = fields.Nested(BattingAnswer, required=True)


class AssembledAnswer(AnswerSchema):
    """The assembled quilt top's bounding box."""

    width_mm = _mm()
    length_mm = _mm()


class EdgeAnswer(AnswerSchema):
    """The result at a pair of opposite edges."""

    edge = fields.String(required=True, validate=validate.OneOf(EDGES))
    count = _whole("rows or columns from edge to edge")
    straight = fields.Boolean(required=True)
    dents_mm = _mm("maximum depth of the dents in a ragged edge")
    fullness = fields.Float(
        required=True,
        metadata={"description": "share of the dented strip that is cloth; 1 for a straight edge"},
    )


class EdgesAnswer(AnswerSchema):
    """The quilt's edges."""

    sides = fields.Nested(EdgeAnswer, required=True)
    ends = fields.Nested(EdgeAnswer, required=True)


class PlannedPieceAnswer(AnswerSchema):
    """Equal pieces of one colour."""

    id = fields.String(required=True)
    shape = shape(required=True)
    count = _whole("pieces in one quilt")
    part = fields.String(
        required=True,
        validate=validate.OneOf(["whole", "half", "trimmed"]),
        metadata={
            "description": "half: drafted to fill the edge; trimmed: sewn whole, then cut to size"
        },
    )
    colour = fields.String(required=True)
    share = fields.Float(required=True, metadata={"description": "share of the whole piece's area"})


class QuiltTotalsAnswer(AnswerSchema):
    """How many pieces a quilt has."""

    pieces = _whole("in all")
    whole = _whole("whole")
    half = _whole("drafted to fill the edge")
    trimmed = _whole("sewn whole, then cut to size")


class SeamsAnswer(AnswerSchema):
    """The amount of sewing."""

    length_mm = _mm("of all seams")
    count = _whole("edges shared by two pieces")
    outside_mm = _mm("total length of outer edges")
    stitches = _whole("whipstitches in all seams")


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


class QuiltPlanAnswer(AnswerSchema):
    """A quilt: its pieces, materials, picture, and the kit that cuts it."""

    title = fields.String(required=True)
    tiling = fields.String(required=True)
    quilt = fields.Nested(QuiltSizeAnswer, required=True)
    assembled = fields.Nested(AssembledAnswer, required=True)
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
    kits = _whole("number of equal kits; fabrics and paper are for all of them")
    kit = fields.Nested(
        KitRequestSchema, required=True, metadata={"description": "a body for POST /v1/kits"}
    )
    picture = fields.String(required=True, metadata={"description": "SVG of the quilt top"})
