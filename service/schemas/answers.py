"""What the schemas of answers are made of."""

from __future__ import annotations

from marshmallow import EXCLUDE, Schema, fields

from service.schemas.fields import Points


class AnswerSchema(Schema):
    """An answer. Later versions may add members, so clients must ignore unknown ones."""

    class Meta:
        """Answers are open in the document."""

        unknown = EXCLUDE


class AnswerPoints(Points):
    """Points without the limits of requests."""


def mm(description: str = "", *, required: bool = True) -> fields.Float:
    """Return a field for a length, mm."""
    return fields.Float(required=required, metadata={"description": description or "mm"})


def counts_by_piece(description: str, *, required: bool = True) -> fields.Dict:
    """Return a field for whole numbers by piece."""
    return fields.Dict(
        keys=fields.String(),
        values=fields.Integer(),
        required=required,
        metadata={"description": description},
    )


def link(description: str, *, required: bool = True) -> fields.String:
    """Return a field for an address."""
    return fields.String(
        required=required, metadata={"description": description, "format": "uri-reference"}
    )
