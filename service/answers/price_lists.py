"""Schemas of answers about saved price lists."""

from __future__ import annotations

from marshmallow import fields

from service.requests.prices import SavedPriceListSchema
from service.schemas.answers import AnswerSchema, link


class PriceListAnswer(AnswerSchema):
    """A saved price list."""

    name = fields.String(required=True)
    version = fields.Integer(
        required=True, metadata={"description": "counts up each time the price list is saved"}
    )
    price_list = fields.Nested(SavedPriceListSchema, required=True)
    href = link("the price list")


class SavedPriceLists(AnswerSchema):
    """All saved price lists."""

    price_lists = fields.List(fields.Nested(PriceListAnswer), required=True)
