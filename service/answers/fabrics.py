"""Schemas of answers about the fabric to buy."""

from __future__ import annotations

from marshmallow import fields, validate

from service.answers.quilt_sizes import mm, whole_number
from service.schemas.answers import AnswerSchema


class RowsAnswer(AnswerSchema):
    """One size of piece on one fabric."""

    id = fields.String(required=True)
    width_mm = mm("as cut")
    length_mm = mm("as cut")
    needed = whole_number("pieces requested")
    cut = whole_number("pieces cut, including spoilage")
    turned = fields.Boolean(
        required=True,
        metadata={
            "description": "in strips it lies otherwise than as drawn or half a turn from it"
        },
    )
    turned_alternately = fields.Boolean(
        required=True, metadata={"description": "every other piece of a strip lies half a turn on"}
    )
    turn_deg = fields.Float(
        required=True, metadata={"description": "turn of a strip's pieces from how they are drawn"}
    )
    strip_mm = mm("width of a strip as cut, by ruler")
    per_row = whole_number("pieces in a strip", required=False)
    rows = whole_number("strips that are cut across the fabric for it", required=False)
    from_rests = whole_number(
        "of the pieces, those cut from what longer ones leave of strips as wide", required=False
    )
    length_of_rows_mm = mm(required=False)
    pieces_per_pre_cut = whole_number("pieces from one pre-cut piece", required=False)
    pre_cuts = whole_number("pre-cut pieces", required=False)
    spare = whole_number("more pieces that could be cut", required=False)
    method = fields.String(
        metadata={"description": "how triangles that share a rectangle are cut from it"}
    )


class MethodAnswer(AnswerSchema):
    """The amount to buy of one fabric by one method: a length, or pre-cut pieces."""

    length_mm = mm("as it is cut", required=False)
    length_before_wash_mm = mm("including shrinkage", required=False)
    buy_mm = mm("in whole steps", required=False)
    buy = fields.String(required=True)
    unused_mm = mm("bought but not used", required=False)
    pre_cuts = whole_number("pre-cut pieces to buy", required=False)


class MethodsAnswer(AnswerSchema):
    """The amount to buy by both methods."""

    rows = fields.Nested(
        MethodAnswer,
        required=True,
        metadata={"description": "strips, and pieces cut from them, by a person with a ruler"},
    )
    layout = fields.Nested(
        MethodAnswer,
        metadata={
            "description": "a cutter's layout on a roll of the usable width or on the pre-cut "
            "pieces, of effort normal for up to 500 pieces of 5 kinds with straight sides, else "
            "quick; left out where it would take too long, with a warning"
        },
    )


class CuttingAnswer(AnswerSchema):
    """How to cut the pieces of one fabric by hand, by the method rows."""

    instructions = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "one sentence for each step, in the request's units"},
    )
    picture = fields.String(
        required=True, metadata={"description": "SVG of a full strip of each size"}
    )
    cautions = fields.List(fields.String(), required=True)


class FabricAnswer(AnswerSchema):
    """The amount to buy of one fabric by the quoted method: a length, or pre-cut pieces."""

    fabric = fields.String(required=True)
    area_mm2 = mm("of all pieces as cut")
    min_length_mm = mm("the least that any method takes: area over width", required=False)
    quoted_method = fields.String(required=True, validate=validate.OneOf(["rows", "layout"]))
    methods = fields.Nested(MethodsAnswer, required=True)
    cutting = fields.Nested(CuttingAnswer, required=True)
    warnings = fields.List(fields.String())
    per_row = fields.Integer(
        allow_none=True,
        metadata={"description": "in a strip, of the only size; null if there are several"},
    )
    rows = whole_number("strips of all sizes", required=False)
    length_mm = mm("by the quoted method", required=False)
    length_before_wash_mm = mm("the same before washing, including shrinkage", required=False)
    buy_mm = mm("in whole steps", required=False)
    buy = fields.String(required=True)
    unused_mm = mm("bought but not used", required=False)
    usable_width_mm = mm(required=False)
    pre_cut = fields.String()
    pre_cut_width_mm = mm(required=False)
    pre_cut_length_mm = mm(required=False)
    pre_cuts = whole_number("pre-cut pieces to buy", required=False)
    pieces = fields.List(fields.Nested(RowsAnswer), required=True)
