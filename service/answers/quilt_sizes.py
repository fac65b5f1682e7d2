"""Schemas of answers about a quilt's size, edges and borders."""

from __future__ import annotations

from marshmallow import fields, validate

from service.requests.borders import CORNERS, EDGES
from service.schemas.answers import AnswerSchema


def mm(description: str = "mm", *, required: bool = True) -> fields.Float:
    """Return the field of a length in an answer."""
    return fields.Float(required=required, metadata={"description": description})


def whole_number(description: str, *, required: bool = True) -> fields.Integer:
    """Return the field of a whole number in an answer."""
    return fields.Integer(required=required, metadata={"description": description})


class AssembledAnswer(AnswerSchema):
    """The bounding box of the whole quilt, or of its top inside the borders."""

    width_mm = mm()
    length_mm = mm()


class NearSizeAnswer(AnswerSchema):
    """A size that the tiling makes."""

    size_mm = mm()
    difference_mm = mm("from the size requested; negative: it is smaller")
    count = whole_number("rows or columns from edge to edge")


class NearestAxisSizesAnswer(AnswerSchema):
    """The nearest sizes of the tiled top along one axis."""

    requested_mm = mm("for the tiled top: the quilt less the borders of a stated width")
    smaller = fields.Nested(
        NearSizeAnswer, metadata={"description": "left out if one row or column is larger"}
    )
    larger = fields.Nested(NearSizeAnswer, required=True)


class NearestTopSizesAnswer(AnswerSchema):
    """The nearest sizes of the tiled top; both are the requested one if that can be made."""

    width = fields.Nested(NearestAxisSizesAnswer, required=True)
    length = fields.Nested(NearestAxisSizesAnswer, required=True)


class BorderStripAnswer(AnswerSchema):
    """Equal strips of a border."""

    place = fields.String(required=True, validate=validate.OneOf(["sides", "ends"]))
    quantity = whole_number("strips in one quilt")
    width_mm = mm("finished")
    length_mm = mm("finished, along the longer edge")
    cut_width_mm = mm("with seam allowance")
    cut_length_mm = mm("with seam allowance")


class JoinedStripsAnswer(AnswerSchema):
    """Strips across the fabric that are joined end to end."""

    quantity = whole_number("strips in one quilt")
    cut_width_mm = mm()
    cut_length_mm = mm("the fabric's usable width")


class BorderAnswer(AnswerSchema):
    """A border of the quilt."""

    colour = fields.String(required=True, metadata={"description": "of plain strips"})
    corners = fields.String(required=True, validate=validate.OneOf(CORNERS))
    sides_width_mm = mm("finished, at left and right; 0 for none")
    ends_width_mm = mm("finished, at top and bottom; 0 for none")
    strips = fields.List(
        fields.Nested(BorderStripAnswer),
        required=True,
        metadata={"description": "to cut by ruler; no pieces of the kit"},
    )
    joined_from = fields.List(
        fields.Nested(JoinedStripsAnswer),
        required=True,
        metadata={"description": "for joined strips"},
    )
    pieces = whole_number("pieces and cornerstones, which are in the kit")


class EdgeAnswer(AnswerSchema):
    """The result at a pair of opposite edges."""

    edge = fields.String(required=True, validate=validate.OneOf(EDGES))
    count = whole_number("rows or columns from edge to edge")
    straight = fields.Boolean(required=True)
    dents_mm = mm("maximum depth of the dents in a ragged edge")
    fullness = fields.Float(
        required=True,
        metadata={"description": "share of the dented strip that is cloth; 1 for a straight edge"},
    )


class EdgesAnswer(AnswerSchema):
    """The quilt's edges."""

    sides = fields.Nested(EdgeAnswer, required=True)
    ends = fields.Nested(EdgeAnswer, required=True)
