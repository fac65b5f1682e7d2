"""Schemas of what of a stock is used, left and missing."""

from __future__ import annotations

from marshmallow import fields

from service.schemas.answers import AnswerSchema, counts_by_piece


class StockEntryAnswer(AnswerSchema):
    """What of one entry of a run's stock is used and left."""

    name = fields.String(required=True)
    count = fields.Integer(required=True, metadata={"description": "in stock"})
    used = fields.Integer(required=True)
    unused = fields.Integer(required=True)
    # marshmallow moves fields out of the class, so its own method of that name stays.
    loads = fields.List(  # type: ignore[assignment]
        fields.Integer(),
        required=True,
        metadata={
            "description": "numbers of the loads that are cut from it; what each leaves "
            "whole stands with it as `offcuts`"
        },
    )
    used_length_mm = fields.Float(
        metadata={"description": "of a roll: drawn off it, margins included"}
    )
    left_length_mm = fields.Float(metadata={"description": "of a roll: what stays on it"})
    cost = fields.String(metadata={"description": "of what is used, by its price"})


class PurchaseAnswer(AnswerSchema):
    """What to buy more of."""

    name = fields.String(required=True, metadata={"description": "of the entry of the stock"})
    count = fields.Integer(metadata={"description": "sheets"})
    length_mm = fields.Float(metadata={"description": "of a roll"})
    cost = fields.String(metadata={"description": "by its price"})


class ShortfallAnswer(AnswerSchema):
    """The pieces that the stock of a run does not hold, and what to buy for them."""

    run = fields.Integer(required=True, metadata={"description": "number of the run"})
    missing = counts_by_piece("finished pieces that are missing, by piece")
    buy = fields.List(
        fields.Nested(PurchaseAnswer),
        required=True,
        metadata={
            "description": "any one of these is enough for all missing pieces; the cheapest "
            "first. Leftovers with an outline cannot be bought"
        },
    )
