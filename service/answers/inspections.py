"""What is found in a drawing, as the answer to an inspection states it."""

from __future__ import annotations

from marshmallow import fields

from service.schemas.answers import AnswerPoints, AnswerSchema


class NearestAnswer(AnswerSchema):
    """The catalogue shape that an outline is."""

    kind = fields.String(required=True)
    parameter = fields.String(required=True)
    size_mm = fields.Float(required=True)
    difference = fields.Float(required=True, metadata={"description": "0 is exactly alike"})


class InspectedOutline(AnswerSchema):
    """One closed outline of the drawing, largest first."""

    group = fields.String(required=True, metadata={"description": "its layer or group"})
    name = fields.String(required=True, metadata={"description": "its own id"})
    points = AnswerPoints(
        required=True,
        metadata={"description": "[x, y, bulge] in mm, y up: ready for a custom shape"},
    )
    width_mm = fields.Float(required=True)
    height_mm = fields.Float(required=True)
    area_mm2 = fields.Float(required=True)
    perimeter_mm = fields.Float(required=True)
    corner_angles_deg = fields.List(fields.Float(), required=True)
    inside = fields.Integer(
        required=True,
        allow_none=True,
        metadata={"description": "index of the smallest outline about it"},
    )
    fits = fields.Boolean(
        required=True,
        allow_none=True,
        metadata={"description": "the named cutter's work area; null when none is named"},
    )
    nearest = fields.Nested(NearestAnswer, required=True, allow_none=True)


class FoundAllowance(AnswerSchema):
    """The seam allowance between two outlines, by their indices."""

    template = fields.Integer(required=True)
    patch = fields.Integer(required=True)
    nested = fields.Boolean(required=True)
    min_mm = fields.Float(required=True)
    max_mm = fields.Float(required=True)


class DuplicateLine(AnswerSchema):
    """A stretch that two outlines both draw, which a machine would cut twice."""

    outlines = fields.List(fields.Integer(), required=True)
    length_mm = fields.Float(required=True)


class OpenLine(AnswerSchema):
    """A run of lines that does not close."""

    group = fields.String(required=True)
    name = fields.String(required=True)
    start = fields.List(fields.Float(), required=True)
    end = fields.List(fields.Float(), required=True)


class SkippedElement(AnswerSchema):
    """A kind of element that was not read."""

    element = fields.String(required=True, metadata={"description": "as the format calls it"})
    count = fields.Integer(required=True)


class InspectionAnswer(AnswerSchema):
    """What a drawing holds."""

    format = fields.String(required=True)
    tolerance_mm = fields.Float(required=True)
    join_tolerance_mm = fields.Float(required=True)
    outlines = fields.List(fields.Nested(InspectedOutline), required=True)
    groups = fields.List(
        fields.List(fields.Integer()),
        required=True,
        metadata={"description": "indices of congruent outlines, mirror images too"},
    )
    allowances = fields.List(fields.Nested(FoundAllowance), required=True)
    overlaps = fields.List(fields.List(fields.Integer()), required=True)
    duplicate_lines = fields.List(fields.Nested(DuplicateLine), required=True)
    open_paths = fields.List(fields.Nested(OpenLine), required=True)
    skipped = fields.List(
        fields.Nested(SkippedElement),
        required=True,
        metadata={"description": "what draws no outline: text, images, metadata"},
    )
    warnings = fields.List(fields.String(), required=True)
