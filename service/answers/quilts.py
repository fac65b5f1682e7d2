"""Quilts, yardage and finishing: what answers look like."""

from __future__ import annotations

from marshmallow import fields, validate

from service.answers.kits import Told
from service.requests.schemas.kits import KitRequest
from service.requests.schemas.quilts import EDGES
from service.requests.schemas.shapes import shape


def _mm(description: str = "mm", *, required: bool = True) -> fields.Float:
    return fields.Float(required=required, metadata={"description": description})


def _whole(description: str, *, required: bool = True) -> fields.Integer:
    return fields.Integer(required=required, metadata={"description": description})


class TilingAnswer(Told):
    """A way to tile a quilt."""

    name = fields.String(required=True)
    title = fields.String(required=True)
    description = fields.String(required=True)
    sizes = fields.Dict(
        keys=fields.String(),
        values=fields.String(),
        required=True,
        metadata={"description": "lengths that size it, each with what it is"},
    )
    counts = fields.Dict(
        keys=fields.String(),
        values=fields.Dict(keys=fields.String(), values=fields.Integer()),
        required=True,
        metadata={"description": "whole numbers beside: minimum, maximum and default"},
    )
    kinds = fields.List(
        fields.String(), required=True, metadata={"description": "of its whole pieces"}
    )
    edges = fields.List(fields.String(), required=True)


class TilingList(Told):
    """All tilings."""

    tilings = fields.List(fields.Nested(TilingAnswer), required=True)


class BedAnswer(Told):
    """The bed that a quilt's size was reckoned from."""

    name = fields.String(required=True)
    mattress_width_mm = _mm()
    mattress_length_mm = _mm()
    drop_mm = _mm()
    tuck_mm = _mm()


class QuiltSizeAnswer(Told):
    """The size asked for."""

    width_mm = _mm()
    length_mm = _mm()
    bed = fields.Nested(BedAnswer)


class BindingAnswer(Told):
    """Strips round a quilt."""

    length_mm = _mm("of the whole binding, corners and joins included")
    strips = _whole("strips cut across the fabric")
    strip_mm = _mm("width of a strip as cut")
    fabric_length_mm = _mm("that the strips take")
    buy_mm = _mm("in whole steps")
    buy = fields.String(required=True)
    unused_mm = _mm()


class PanelsAnswer(Told):
    """One way to join a backing of panels."""

    seams = fields.String(required=True, validate=validate.OneOf(["lengthwise", "crosswise"]))
    panels = _whole("widths of fabric side by side")
    panel_length_mm = _mm()
    fabric_length_mm = _mm("that the panels take")
    buy_mm = _mm("in whole steps")
    buy = fields.String(required=True)
    unused_mm = _mm()
    clearance_width_mm = _mm("of the panels joined, beyond what is needed")


class BackingAnswer(PanelsAnswer):
    """A backing, and the other way to join it."""

    width_mm = _mm("of the backing")
    length_mm = _mm("of the backing")
    other_way = fields.Nested(PanelsAnswer, required=True)


class BattingAnswer(Told):
    """Wadding between top and backing."""

    width_mm = _mm()
    length_mm = _mm()


class FinishingAnswer(Told):
    """What a quilt takes to be finished."""

    quilt = fields.Nested(QuiltSizeAnswer, required=True)
    binding = fields.Nested(BindingAnswer, required=True)
    backing = fields.Nested(BackingAnswer, required=True)
    batting = fields.Nested(BattingAnswer, required=True)


class RowsAnswer(Told):
    """One size of piece on one fabric."""

    id = fields.String(required=True)
    width_mm = _mm("as cut")
    length_mm = _mm("as cut")
    needed = _whole("pieces asked for")
    cut = _whole("pieces cut, spoilage included")
    turned = fields.Boolean(required=True)
    per_row = _whole("pieces side by side", required=False)
    rows = _whole("rows", required=False)
    length_of_rows_mm = _mm(required=False)
    pieces_per_pre_cut = _whole("pieces out of one pre-cut piece", required=False)
    pre_cuts = _whole("pre-cut pieces", required=False)
    spare = _whole("more pieces that could be cut", required=False)


class FabricAnswer(Told):
    """What to buy of one fabric: a length, or pre-cut pieces."""

    fabric = fields.String(required=True)
    per_row = fields.Integer(
        allow_none=True, metadata={"description": "of the one size; null where there are several"}
    )
    rows = _whole("of all sizes", required=False)
    length_mm = _mm("that the rows take", required=False)
    length_before_wash_mm = _mm("the same before it shrinks", required=False)
    buy_mm = _mm("in whole steps", required=False)
    buy = fields.String(required=True)
    unused_mm = _mm("bought and not used", required=False)
    usable_width_mm = _mm(required=False)
    pre_cut = fields.String()
    pre_cut_width_mm = _mm(required=False)
    pre_cut_length_mm = _mm(required=False)
    pre_cuts = _whole("pre-cut pieces to buy", required=False)
    pieces = fields.List(fields.Nested(RowsAnswer), required=True)


class YardageAnswer(Told):
    """What pieces take of their fabrics."""

    fabrics = fields.List(fields.Nested(FabricAnswer), required=True)


class SheetRowAnswer(Told):
    """Sheets of paper or card for one shape."""

    shape = fields.String(required=True)
    templates = _whole("to cut")
    per_sheet = _whole("on a full sheet", required=False)
    sheets = _whole("to cut them from", required=False)
    laid = fields.String(
        metadata={"description": "interlocked; or in boxes, which may take more sheets"}
    )
    fault = fields.String(metadata={"description": "why no sheet holds it"})


class PaperAnswer(Told):
    """Paper or card for the templates."""

    sheet = fields.String(required=True)
    width_mm = _mm()
    height_mm = _mm()
    reuse = _whole("uses of one template")
    templates = _whole("in all")
    sheets = _whole("in all, of those that fit")
    rows = fields.List(fields.Nested(SheetRowAnswer), required=True)


class MaterialsAnswer(Told):
    """What a planned quilt takes."""

    fabrics = fields.List(fields.Nested(FabricAnswer), required=True)
    paper = fields.Nested(PaperAnswer, required=True)
    binding = fields.Nested(BindingAnswer, required=True)
    backing = fields.Nested(BackingAnswer, required=True)
    batting = fields.Nested(BattingAnswer, required=True)


class AssembledAnswer(Told):
    """The quilt top's box as it is assembled."""

    width_mm = _mm()
    length_mm = _mm()


class EdgeAnswer(Told):
    """How a pair of edges comes out."""

    edge = fields.String(required=True, validate=validate.OneOf(EDGES))
    count = _whole("rows or columns from edge to edge")
    straight = fields.Boolean(required=True)
    dents_mm = _mm("depth of the dents of a ragged edge, at most")
    fullness = fields.Float(
        required=True,
        metadata={"description": "share of cloth in the strip as deep as the dents; 1: straight"},
    )


class EdgesAnswer(Told):
    """The quilt's edges."""

    sides = fields.Nested(EdgeAnswer, required=True)
    ends = fields.Nested(EdgeAnswer, required=True)


class PlannedPieceAnswer(Told):
    """Pieces alike of one colour."""

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
    share = fields.Float(required=True, metadata={"description": "of the whole piece's area"})


class QuiltTotalsAnswer(Told):
    """How many pieces a quilt has."""

    pieces = _whole("in all")
    whole = _whole("whole")
    half = _whole("drafted to fill the edge")
    trimmed = _whole("sewn whole, then cut to size")


class SeamsAnswer(Told):
    """How much there is to sew."""

    length_mm = _mm("of all seams")
    count = _whole("edges that two pieces share")
    outside_mm = _mm("of edges that no other piece shares")
    stitches = _whole("whipstitches in all seams")


def _money(description: str, *, required: bool = False) -> fields.Float:
    return fields.Float(required=required, metadata={"description": description})


class CostAnswer(Told):
    """What materials cost, in the currency of the prices; all kits unless said otherwise."""

    fabric = _money("by the length: patches, binding, backing")
    pre_cuts = _money("pre-cut pieces")
    paper = _money("sheets of paper or card")
    total = _money("all kits", required=True)
    per_kit = _money("one kit's share", required=True)


def _seconds(description: str, *, required: bool = False) -> fields.Float:
    return fields.Float(required=required, metadata={"description": description})


class TimeAnswer(Told):
    """How long the work takes."""

    basting_s = _seconds("of one kit")
    sewing_s = _seconds("of one kit")
    per_kit_s = _seconds("of one kit, all that is known", required=True)
    total_s = _seconds("of all kits", required=True)


class QuiltPlanAnswer(Told):
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
    cost = fields.Nested(CostAnswer, metadata={"description": "where prices were told"})
    time = fields.Nested(TimeAnswer, metadata={"description": "where speeds were told"})
    kits = _whole("as many alike; fabrics and paper are for all of them")
    kit = fields.Nested(
        KitRequest, required=True, metadata={"description": "a body for POST /v1/kits"}
    )
    picture = fields.String(required=True, metadata={"description": "SVG of the quilt top"})
