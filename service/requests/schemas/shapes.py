"""A schema per kind of shape, made from the catalogue, so that the two cannot part."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, validate, validates_schema

from geometry.shapes.catalogue import CATALOGUE
from geometry.shapes.kinds import Parameter, ShapeKind
from service.requests.fields import Const, Int, Length, Num, Points, Strict, Union

MOST_PATH = 50_000
"""Characters of SVG path data in one shape."""


def _camel(kind: str) -> str:
    return "".join(part.capitalize() for part in kind.split("_"))


def _parameter(parameter: Parameter, *, required: bool) -> fields.Field[Any]:
    told = {"description": parameter.description}
    bounds = validate.Range(parameter.minimum, parameter.maximum)
    if parameter.what == "length":
        return Length(required=required, metadata=told)
    if parameter.what == "count":
        return Int(required=required, metadata=told, validate=bounds)
    if parameter.what == "angle_deg":
        return Num(required=required, metadata=told, validate=bounds)
    if parameter.default is not None:
        told["default"] = parameter.default
    return fields.String(
        required=required, metadata=told, validate=validate.OneOf(parameter.choices)
    )


def _schema(kind: ShapeKind) -> type[Strict]:
    # With one way to size it, all of that way is needed; with several, geometry tells which.
    needed = {*kind.always, *(kind.sizings[0] if len(kind.sizings) == 1 else ())}
    members: dict[str, Any] = {
        parameter.name: _parameter(parameter, required=parameter.name in needed)
        for parameter in kind.parameters
    }
    return type(f"{_camel(kind.kind)}Shape", (Strict,), {"kind": Const(kind.kind), **members})


class CustomShape(Strict):
    """An outline of one's own: ``points`` (y up) or SVG ``path`` data (y down)."""

    kind = Const("custom")
    points = Points(
        metadata={"description": "ring of [x, y] or [x, y, bulge], y up, in the request's units"}
    )
    path = fields.String(
        validate=validate.Length(min=1, max=MOST_PATH),
        metadata={"description": "one closed SVG path, y down, in the request's units"},
    )

    @validates_schema
    def _one_of_two(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        if ("points" in data) == ("path" in data):
            raise ValidationError("Give either points or path.")


SHAPES: dict[str, type[Strict]] = {
    **{kind.kind: _schema(kind) for kind in CATALOGUE.values()},
    "custom": CustomShape,
}


def shape(**kwargs: Any) -> Union:  # noqa: ANN401 - handed on to the field
    """Return the field that takes any shape."""
    return Union("Shape", SHAPES, **kwargs)
