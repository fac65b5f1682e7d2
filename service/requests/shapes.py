"""Shapes: a schema per kind, made from the catalogue so that the two cannot part.

A loaded shape is its sizes in mm; its outline is drawn where there is time for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from geometry import units as lengths
from geometry.model.outline import Outline
from geometry.shapes import custom
from geometry.shapes.catalogue import CATALOGUE, build
from geometry.shapes.kinds import Parameter, ShapeKind
from geometry.shapes.words import CUSTOM, hand_words, parameter_words
from service.schemas.context import current
from service.schemas.errors import unread, unusable
from service.schemas.fields import Const, Int, Length, Num, Points, Strict
from service.schemas.structures import Union

MAX_PATH = 50_000
"""Characters of SVG path data in one shape."""


@dataclass(frozen=True)
class CatalogueShape:
    """A shape of the catalogue at a size.

    Args:
        kind: its name in the catalogue.
        values: its parameters, lengths in mm.
        size: how the request wrote them, for labels; bare numbers with their unit.
    """

    kind: str
    values: Mapping[str, float | int | str]
    size: str = ""

    @property
    def title(self) -> str:
        """Return what people call it."""
        return CATALOGUE[self.kind].title

    @property
    def lengths(self) -> Mapping[str, float]:
        """Those parameters that are lengths, mm."""
        return {
            each.name: float(self.values[each.name])
            for each in CATALOGUE[self.kind].parameters
            if each.type == "length" and each.name in self.values
        }

    def resized(self, sizes: Mapping[str, float]) -> CatalogueShape:
        """Return the same shape with other lengths, mm."""
        return replace(self, values={**self.values, **sizes})

    def outline(self) -> Outline:
        """Return its outline.

        Raises:
            geometry.errors.GeometryError: when its parameters do not make that shape.
        """
        return build(self.kind, self.values)


@dataclass(frozen=True)
class CustomShape:
    """An outline of the caller's own: rows of points or SVG path data, and mm per unit in it."""

    points: Sequence[Sequence[float]] = ()
    path: str = ""
    scale: float = 1.0
    kind: str = "custom"
    title: str = CUSTOM
    size: str = ""

    def scaled(self, share: float) -> CustomShape:
        """Return the same outline at a share of its size."""
        return replace(self, scale=self.scale * share)

    def outline(self) -> Outline:
        """Return its outline.

        Raises:
            geometry.errors.GeometryError: when it is no simple closed curve.
        """
        if self.path:
            return custom.from_path(self.path, scale=self.scale)
        rows = [(row[0] * self.scale, row[1] * self.scale, *row[2:]) for row in self.points]
        return custom.from_points(rows)


Shape: TypeAlias = CatalogueShape | CustomShape


class _CatalogueSchema(Strict):
    """What all schemas of the catalogue's shapes have in common."""

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], written: dict[str, Any], **_: Any) -> CatalogueShape:  # noqa: ANN401 - marshmallow's own
        kind = data.pop("kind")
        return CatalogueShape(kind, data, size_text(kind, written, current().units))


def size_text(kind: str, written: Mapping[str, Any], units: str | None) -> str:
    """Return a shape's size as a request wrote it, for labels; bare numbers get their unit."""
    sizes = []
    for parameter in CATALOGUE[kind].parameters:
        value = written.get(parameter.name)
        if value is not None:
            # A computed size has more digits than anyone reads.
            computed = isinstance(value, float)
            text = lengths.format_decimal(value, 6) if computed else str(value).strip()
            bare = parameter.type == "length" and text[-1:].isdigit()
            name = parameter_words(parameter.name)
            unit = units if bare else "degrees" if parameter.type == "angle_deg" else ""
            is_hand = parameter.name == "hand"
            sizes.append(hand_words(text) if is_hand else f"{name} {text} {unit}".rstrip())
    return ", ".join(sizes)


def _camel(kind: str) -> str:
    return "".join(part.capitalize() for part in kind.split("_"))


def _parameter(parameter: Parameter, *, required: bool) -> fields.Field[Any]:
    metadata = {"description": parameter.description}
    bounds = validate.Range(parameter.minimum, parameter.maximum)
    if parameter.type == "length":
        return Length(
            min_mm=parameter.minimum,
            max_mm=parameter.maximum,
            required=required,
            metadata=metadata,
        )
    if parameter.type == "count":
        return Int(required=required, metadata=metadata, validate=bounds)
    if parameter.type == "angle_deg":
        return Num(required=required, metadata=metadata, validate=bounds)
    if parameter.default is not None:
        metadata["default"] = parameter.default
    return fields.String(
        required=required, metadata=metadata, validate=validate.OneOf(parameter.choices)
    )


def _schema(kind: ShapeKind) -> type[Strict]:
    # With one way to size it, all of that way is needed; with several, geometry tells which.
    needed = {*kind.required, *(kind.size_options[0] if len(kind.size_options) == 1 else ())}
    members: dict[str, Any] = {
        parameter.name: _parameter(parameter, required=parameter.name in needed)
        for parameter in kind.parameters
    }
    name = f"{_camel(kind.kind)}ShapeSchema"
    return type(name, (_CatalogueSchema,), {"kind": Const(kind.kind), **members})


class CustomShapeSchema(Strict):
    """An outline of one's own: ``points`` (y up) or SVG ``path`` data (y down)."""

    kind = Const("custom")
    points = Points(
        metadata={"description": "ring of [x, y] or [x, y, bulge], y up, in the request's units"}
    )
    path = fields.String(
        validate=validate.Length(min=1, max=MAX_PATH),
        metadata={"description": "one closed SVG path, y down, in the request's units"},
    )

    @validates_schema
    def _one_of_two(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        if ("points" in data) == ("path" in data):
            raise ValidationError("Give either points or path.")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> CustomShape:  # noqa: ANN401
        known = current()
        if known.units_are_wrong:
            raise unread()
        if known.units is None:
            detail = 'A custom outline needs the request\'s "units" ("in", "mm" or "cm").'
            raise unusable(detail)
        return CustomShape(
            data.get("points", ()), data.get("path", ""), lengths.UNIT_MM[known.units]
        )


SHAPES: dict[str, type[Strict]] = {
    **{kind.kind: _schema(kind) for kind in CATALOGUE.values()},
    "custom": CustomShapeSchema,
}


def shape(**kwargs: Any) -> Union:  # noqa: ANN401 - passed on to the field
    """Return the field that takes any shape."""
    return Union("Shape", SHAPES, **kwargs)
