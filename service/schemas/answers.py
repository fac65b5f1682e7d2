"""What answers are made of: frozen dataclasses, each with the schema that documents it.

A member's annotation is all that is stated of it: its type, and beside the type, in ``Annotated``,
what the document says of it. A member with a default may be left out of the JSON, and is left out
where its value is ``None``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass, replace
from types import NoneType, UnionType
from typing import (
    Annotated,
    Any,
    Literal,
    TypeAlias,
    TypeVar,
    Union,
    get_args,
    get_origin,
    get_type_hints,
)

import marshmallow as ma
from marshmallow import EXCLUDE, Schema, validate

from service.schemas.fields import Points as RequestPoints

T = TypeVar("T")
#: Makes the field of a member from whether it is required, whether it may be null, and its
#: metadata.
FieldMaker: TypeAlias = Callable[..., ma.fields.Field[Any]]


class AnswerSchema(Schema):
    """An answer. Later versions may add members, so clients must ignore unknown ones."""

    class Meta:
        """Answers are open in the document."""

        unknown = EXCLUDE


class AnswerPoints(RequestPoints):
    """Points without the limits of requests."""


@dataclass(frozen=True)
class FromSchema:
    """Documents JSON that is passed on as it is.

    Args:
        schema: the schema of a request, or the dataclass of an answer, that it fits.
    """

    schema: type[Any]

    def __call__(self, **stated: Any) -> ma.fields.Field[Any]:  # noqa: ANN401 - a field's own
        """Return the member's field."""
        schema = self.schema if issubclass(self.schema, Schema) else schema_of(self.schema)
        return ma.fields.Nested(schema, **stated)


@dataclass(frozen=True)
class Format:
    """States the format of a text."""

    name: str


@dataclass(frozen=True)
class Inlined:
    """Puts the members of a value in its place.

    Args:
        classes: of the value; those of the annotation where none are stated.
    """

    classes: tuple[type[Any], ...] = ()


Points: TypeAlias = Annotated[Sequence[Sequence[float]], AnswerPoints]
"""Rows of ``[x, y]`` or ``[x, y, bulge]``, passed on as they are."""
Json: TypeAlias = Mapping[str, Any]
"""A JSON object, passed on as it is."""
Link: TypeAlias = Annotated[str, Format("uri-reference")]
"""An address."""
Uuid: TypeAlias = Annotated[str, ma.fields.UUID]
Timestamp: TypeAlias = Annotated[str, ma.fields.DateTime]
Date: TypeAlias = Annotated[str, ma.fields.Date]
Mm: TypeAlias = Annotated[float, "mm"]

_FIELDS: Mapping[object, FieldMaker] = {
    str: ma.fields.String,
    int: ma.fields.Integer,
    float: ma.fields.Float,
    bool: ma.fields.Boolean,
    Any: ma.fields.Raw,
}


@dataclass(frozen=True)
class Member:
    """What a member's annotation says.

    Args:
        type: its type without ``None`` and notes.
        is_nullable: whether it may be ``None``.
        notes: what stands beside the type.
    """

    type: Any
    is_nullable: bool = False
    notes: tuple[Any, ...] = ()

    @property
    def metadata(self) -> dict[str, Any]:
        """Return what the document says of the member."""
        found: dict[str, Any] = {}
        for note in self.notes:
            found |= {"description": note} if isinstance(note, str) else {}
            found |= {"format": note.name} if isinstance(note, Format) else {}
        return found

    @property
    def maker(self) -> FieldMaker | None:
        """Return what makes its field, where a note does."""
        return next((note for note in self.notes if callable(note)), None)

    @property
    def inlined(self) -> tuple[type[Any], ...]:
        """Return the dataclasses whose members stand in its place; none where it is a member."""
        note = next((note for note in self.notes if isinstance(note, Inlined)), None)
        if note is None:
            return ()
        return note.classes or get_args(self.type) or (self.type,)


def member(annotation: Any) -> Member:  # noqa: ANN401 - any annotation
    """Return what an annotation says."""
    if get_origin(annotation) is Annotated:
        inside, *notes = get_args(annotation)
        found = member(inside)
        return replace(found, notes=(*found.notes, *notes))
    if get_origin(annotation) in {Union, UnionType} and NoneType in get_args(annotation):
        return replace(member(_without_none(annotation)), is_nullable=True)
    return Member(annotation)


def _without_none(annotation: Any) -> Any:  # noqa: ANN401 - a union, and what is left of it
    left = tuple(each for each in get_args(annotation) if each is not NoneType)
    return Union[left]  # noqa: UP007 - of as many types as there are


def once_per_class(make: Callable[[type[Any]], T]) -> Callable[[type[Any]], T]:
    """Return a function that makes something of a class, and remembers it."""
    known: dict[type[Any], T] = {}

    def made(model: type[Any]) -> T:
        if model not in known:
            known[model] = make(model)
        return known[model]

    return made


@once_per_class
def members(model: type[Any]) -> Mapping[str, tuple[Member, bool]]:
    """Return the members of a dataclass by name, each with whether it is required."""
    hints = get_type_hints(model, include_extras=True)
    return {each.name: (member(hints[each.name]), _is_required(each)) for each in fields(model)}


def _is_required(field: Field[Any]) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


@once_per_class
def schema_of(model: type[Any]) -> type[Schema]:
    """Return the schema that documents a dataclass, under the same name."""
    return AnswerSchema.from_dict(_fields_of(model), name=model.__name__)


def _fields_of(model: type[Any]) -> dict[str, ma.fields.Field[Any]]:
    found: dict[str, ma.fields.Field[Any]] = {}
    for name, (each, required) in members(model).items():
        if each.inlined:
            found |= _inlined_fields(each.inlined, required=required)
        else:
            is_null = each.is_nullable and required
            found[name] = _field(each, required=required, allow_none=is_null)
    return found


def _inlined_fields(
    classes: Sequence[type[Any]], *, required: bool
) -> dict[str, ma.fields.Field[Any]]:
    """Return the fields of all variants; required are those that every variant requires."""
    variants = [_fields_of(each) for each in classes]
    found = {name: field for variant in variants for name, field in variant.items()}
    for name, field in found.items():
        field.required = required and all(
            name in variant and variant[name].required for variant in variants
        )
    return found


def _field(of: Member, *, required: bool = False, allow_none: bool = False) -> ma.fields.Field[Any]:
    stated: dict[str, Any] = {"required": required, "metadata": of.metadata}
    if allow_none:
        stated["allow_none"] = True
    if of.maker is not None:
        return of.maker(**stated)
    if is_dataclass(of.type):
        return ma.fields.Nested(schema_of(of.type), **stated)  # type: ignore[arg-type]
    if of.type in _FIELDS:
        return _FIELDS[of.type](**stated)
    origin, inside = get_origin(of.type), get_args(of.type)
    if origin is Literal:
        return ma.fields.String(validate=validate.OneOf(inside), **stated)
    if origin is Sequence:
        return ma.fields.List(_field(member(inside[0])), **stated)
    if origin is Mapping:
        values = None if inside[1] is Any else _field(member(inside[1]))
        return ma.fields.Dict(keys=ma.fields.String(), values=values, **stated)
    raise TypeError(f"no field for {of.type!r}")
