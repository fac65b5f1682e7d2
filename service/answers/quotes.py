"""Schemas of a kit's quote."""

from __future__ import annotations

from marshmallow import fields

from service.schemas.answers import AnswerSchema


class QuoteLineAnswer(AnswerSchema):
    """One line of a quote. Amounts are decimal text."""

    kind = fields.String(
        required=True,
        metadata={
            "description": "material, machine, hand_cutting, bench, consumables or packaging"
        },
    )
    name = fields.String(required=True)
    run = fields.Integer(metadata={"description": "number of the run, of a material"})
    quantity = fields.String(required=True)
    unit = fields.String(required=True)
    price = fields.String(required=True, metadata={"description": "of price_per units"})
    price_per = fields.String(required=True, metadata={"description": "such as 60 min of an hour"})
    amount = fields.String(
        required=True, metadata={"description": "quantity x price / price_per, rounded"}
    )


class AmountsAnswer(AnswerSchema):
    """An amount of all copies, and its share of one."""

    per_batch = fields.String(required=True)
    per_copy = fields.String(required=True)


class WeightAnswer(AnswerSchema):
    """The weight of the pieces, without packaging."""

    per_copy_g = fields.Float(required=True)
    per_batch_g = fields.Float(required=True)
    not_weighed = fields.List(
        fields.String(), required=True, metadata={"description": "runs without a grammage"}
    )


class QuoteAnswer(AnswerSchema):
    """The price of a kit, from the request's prices alone."""

    price_list = fields.String(metadata={"description": "the saved list that the kit names"})
    price_list_version = fields.Integer(metadata={"description": "of that list"})
    currency = fields.String(required=True)
    rounding = fields.String(required=True)
    copies = fields.Integer(required=True)
    lines = fields.List(fields.Nested(QuoteLineAnswer), required=True)
    cost = fields.Nested(AmountsAnswer, required=True)
    margin = fields.Nested(AmountsAnswer, required=True)
    price = fields.Nested(
        AmountsAnswer, required=True, metadata={"description": "cost and margin, without tax"}
    )
    tax = fields.String(required=True, metadata={"description": "left to the shop"})
    not_priced = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "what the price leaves out, because no price is stated for it"},
    )
    weight = fields.Nested(WeightAnswer, metadata={"description": "where a grammage is stated"})
