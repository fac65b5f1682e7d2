"""What can be chosen from, as answers tell it: cutters, shapes, formats."""

from __future__ import annotations

from marshmallow import fields, validate

from service.requests.cutters import SavedCutterSchema
from service.schemas.answers import AnswerSchema, link


class CutterAnswer(AnswerSchema):
    """A built-in or saved cutter."""

    name = fields.String(required=True)
    built_in = fields.Boolean(required=True)
    version = fields.Integer(
        required=True, metadata={"description": "counts up each time the cutter is saved"}
    )
    cutter = fields.Nested(SavedCutterSchema, required=True)
    href = link("the cutter")


class CutterList(AnswerSchema):
    """All cutters."""

    cutters = fields.List(fields.Nested(CutterAnswer), required=True)


class ParameterAnswer(AnswerSchema):
    """A number or choice that a shape takes."""

    name = fields.String(required=True)
    type = fields.String(
        required=True, validate=validate.OneOf(["length", "count", "angle_deg", "choice"])
    )
    description = fields.String(required=True)
    minimum = fields.Float()
    maximum = fields.Float()
    choices = fields.List(fields.String())
    default = fields.String()


class ShapeAnswer(AnswerSchema):
    """A kind of shape in the catalogue."""

    kind = fields.String(required=True)
    title = fields.String(required=True)
    description = fields.String(required=True)
    family = fields.String(
        required=True, metadata={"description": "60, 45 or empty: which angles it tiles with"}
    )
    chiral = fields.Boolean(
        required=True, metadata={"description": "its mirror image is another piece"}
    )
    parameters = fields.List(fields.Nested(ParameterAnswer), required=True)
    required = fields.List(fields.String(), required=True)
    size_options = fields.List(
        fields.List(fields.String()),
        required=True,
        metadata={"description": "ways to size it: give exactly one of these sets"},
    )
    example = fields.Dict(keys=fields.String(), required=True)
    shares_edge_with = fields.List(fields.String(), required=True)
    picture = link("dimensioned drawing")
    href = link("this shape")


class ShapeList(AnswerSchema):
    """The catalogue."""

    shapes = fields.List(fields.Nested(ShapeAnswer), required=True)


class SettingAnswer(AnswerSchema):
    """One thing that a cutter may say of how a format is written for it."""

    name = fields.String(required=True)
    type = fields.String(
        required=True,
        metadata={"description": "number, choice, flag, pens, colours, colour numbers, widths"},
    )
    description = fields.String(required=True)
    required = fields.Boolean(required=True)
    choices = fields.List(fields.String(), required=True)
    default = fields.Raw(
        metadata={"description": "the value when it is not stated; absent where there is none"}
    )
    minimum = fields.Float()
    maximum = fields.Float()


class FormatFault(AnswerSchema):
    """A plug-in that cannot be used."""

    name = fields.String(required=True)
    detail = fields.String(required=True)


class FormatAnswer(AnswerSchema):
    """An installed file format."""

    name = fields.String(required=True)
    title = fields.String(required=True)
    media_type = fields.String(required=True)
    extension = fields.String(required=True)
    supports = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "what of a cut plan it holds: arcs, stations, stops"},
    )
    settings = fields.List(fields.Nested(SettingAnswer), required=True)


class FormatList(AnswerSchema):
    """Installed formats, and plug-ins that cannot be used."""

    formats = fields.List(fields.Nested(FormatAnswer), required=True)
    faults = fields.List(fields.Nested(FormatFault), required=True)
