# ruff: noqa: ANN401, ARG001 - apispec calls each of these with whatever it has
"""Converts our own fields to JSON Schema for apispec, and corrects its output.

apispec has no ``oneOf``, writes exclusive bounds as inclusive ones, and knows no ``const``.
"""

from __future__ import annotations

from typing import Any

from apispec.ext.marshmallow import MarshmallowPlugin
from apispec.ext.marshmallow.openapi import OpenAPIConverter
from marshmallow import fields, validate

from service.schemas.answers import AnswerPoints
from service.schemas.fields import (
    MAX_COORDINATE,
    MAX_POINTS,
    MAX_TEXT,
    Const,
    Points,
    WrittenLength,
)
from service.schemas.structures import Checked, Either, Keyed, Union

JsonSchema = dict[str, Any]
_LENGTH = {
    "description": 'A length: text with a unit ("1 1/4 in", "6.35 mm"), or bare, as text or '
    "number, in the request's units.",
    "oneOf": [
        {"type": "string", "minLength": 1, "maxLength": MAX_TEXT},
        {"type": "number", "minimum": -MAX_COORDINATE, "maximum": MAX_COORDINATE},
    ],
    "examples": ["1 1/4 in", "6.35 mm", 1.25],
}


class Converter(OpenAPIConverter):
    """Converts our own fields."""

    def init_attribute_functions(self) -> None:
        """Add our attribute functions after those of apispec."""
        super().init_attribute_functions()  # type: ignore[no-untyped-call]
        # Fields of these classes have no type of their own.
        self.field_mapping = {
            **self.field_mapping,
            **dict.fromkeys(
                (WrittenLength, Points, AnswerPoints, Keyed, Union, Either, Checked), (None, None)
            ),
        }
        for add in (_const, _points, _bounds, _numbers, _length, _keyed, _union, _either, _checked):
            self.add_attribute_function(add)  # type: ignore[no-untyped-call]

    def named(self, name: str, schema: JsonSchema) -> JsonSchema:
        """Return a reference to a component, which is created at its first use."""
        if name not in self.spec.components.schemas:
            self.spec.components.schema(name, schema)
        return {"$ref": f"#/components/schemas/{name}"}


class SchemaPlugin(MarshmallowPlugin):
    """apispec's plug-in with our converter."""

    Converter = Converter


def _const(self: Converter, field: fields.Field[Any], **_: Any) -> JsonSchema:
    return {"const": field.const, "type": "string"} if isinstance(field, Const) else {}


def _points(self: Converter, field: fields.Field[Any], **_: Any) -> JsonSchema:
    if not isinstance(field, Points):
        return {}
    bounded = not isinstance(field, AnswerPoints)
    number: JsonSchema = {"type": "number"}
    if bounded:
        number |= {"minimum": -MAX_COORDINATE, "maximum": MAX_COORDINATE}
    row = self.named(
        "Point" if bounded else "AnswerPoint",
        {
            "type": "array",
            "items": number,
            "minItems": 2,
            "maxItems": 3,
            "description": "[x, y] or [x, y, bulge], bulge between -1 and 1",
        },
    )
    schema: JsonSchema = {"type": "array", "items": row}
    return schema | ({"minItems": 2, "maxItems": MAX_POINTS} if bounded else {})


def _bounds(self: Converter, field: fields.Field[Any], *, ret: JsonSchema, **_: Any) -> JsonSchema:
    for check in field.validators:
        if isinstance(check, validate.Range):
            if not check.min_inclusive and "minimum" in ret:
                ret["exclusiveMinimum"] = ret.pop("minimum")
            if not check.max_inclusive and "maximum" in ret:
                ret["exclusiveMaximum"] = ret.pop("maximum")
    return {}


def _numbers(self: Converter, field: fields.Field[Any], *, ret: JsonSchema, **_: Any) -> JsonSchema:
    """Convert ranges; a single allowed value is a const, not an enumeration of one."""
    if isinstance(field, Const):
        ret.pop("enum", None)
    return {}


def _length(self: Converter, field: fields.Field[Any], **_: Any) -> JsonSchema:
    return self.named("Length", dict(_LENGTH)) if isinstance(field, WrittenLength) else {}


def _keyed(self: Converter, field: fields.Field[Any], **_: Any) -> JsonSchema:
    if not isinstance(field, Keyed):
        return {}
    return {
        "type": "object",
        "additionalProperties": self.field2property(field.values),
        "propertyNames": {"pattern": field.keys},
        "maxProperties": field.most,
    }


def _union(self: Converter, field: fields.Field[Any], **_: Any) -> JsonSchema:
    if not isinstance(field, Union):
        return {}
    if field.title not in self.spec.components.schemas:
        refs: dict[str, JsonSchema] = {
            key: self.resolve_nested_schema(each)  # type: ignore[no-untyped-call]
            for key, each in field.classes.items()
        }
        schema = {
            "oneOf": list(refs.values()),
            "discriminator": {
                "propertyName": field.by,
                "mapping": {key: ref["$ref"] for key, ref in refs.items()},
            },
        }
        return self.named(field.title, schema)
    return self.named(field.title, {})


def _checked(self: Converter, field: fields.Field[Any], **_: Any) -> JsonSchema:
    return dict(self.field2property(field.inner)) if isinstance(field, Checked) else {}


def _either(self: Converter, field: fields.Field[Any], **_: Any) -> JsonSchema:
    if not isinstance(field, Either):
        return {}
    options = [self.field2property(option) for _, option in field.options]
    return self.named(field.title, {"oneOf": options})
