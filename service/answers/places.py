"""Schemas of where material and pieces lie on a bed."""

from __future__ import annotations

from marshmallow import fields

from service.schemas.answers import AnswerSchema, mm


class WorkAreaAnswer(AnswerSchema):
    """The bed's area inside margins and sheet."""

    x_mm = mm()
    y_mm = mm()
    width_mm = mm()
    height_mm = mm()


class SheetAnswer(AnswerSchema):
    """The position of a sheet of stated size on the bed, and the clearance at its edges."""

    edge_clearance_mm = mm("clearance between the sheet's edges and the outlines")
    x_mm = fields.Float(
        metadata={"description": "of its lower left corner, from the bed's left edge"}
    )
    y_mm = fields.Float(metadata={"description": "from the bed's lower edge"})
    width_mm = fields.Float()
    height_mm = fields.Float()
    position = fields.String(metadata={"description": "the same in words, in the request's units"})
