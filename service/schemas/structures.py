# ruff: noqa: ANN401 - a field is handed any JSON value, and says which it takes
"""Marshmallow fields of values within values: keyed objects, unions, values of several types."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import marshmallow as ma
from marshmallow import fields

from service.schemas.context import current, reading
from service.schemas.errors import structural
from service.schemas.library_messages import NO_OBJECT
from service.schemas.suggestions import close_match
from service.schemas.validation import Errors, count_element


class Keyed(fields.Field[Any]):
    """An object whose keys follow a pattern and whose values are all alike."""

    default_error_messages = {  # noqa: RUF012 - marshmallow's own name
        "type": NO_OBJECT,
        "count": "At most {most} entries.",
    }

    def __init__(
        self, values: fields.Field[Any], *, keys: str, meaning: str, most: int, **kwargs: Any
    ) -> None:
        self.values, self.keys, self.meaning, self.most = values, keys, meaning, most
        super().__init__(**kwargs)

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> dict[str, Any]:
        del attr, data, kwargs
        if not isinstance(value, dict):
            raise self.make_error("type")
        if len(value) > self.most:
            raise self.make_error("count", most=self.most)
        loaded: dict[str, Any] = {}
        errors = Errors()
        for key, each in value.items():
            count_element()
            try:
                self._check_key(key)
                loaded[key] = self.values.deserialize(each)
            except ma.ValidationError as error:
                errors.add(key, error)
                if errors.is_full:
                    break
        errors.finish()
        return loaded

    def _check_key(self, key: str) -> None:
        if not re.fullmatch(self.keys, key):
            raise ma.ValidationError(self.meaning)


class Union(fields.Field[Any]):
    """An object whose variant follows from one property, as ``oneOf`` with a discriminator."""

    default_error_messages = {  # noqa: RUF012 - marshmallow's own name
        "type": NO_OBJECT,
        "unknown": "Must be one of: {choices}.",
    }

    def __init__(
        self,
        title: str,
        variants: Mapping[str, type[ma.Schema]],
        *,
        by: str = "kind",
        **kwargs: Any,
    ) -> None:
        self.title, self.by, self.classes = title, by, dict(variants)
        self._loaders = {key: variant() for key, variant in variants.items()}
        super().__init__(**kwargs)

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> Any:
        del attr, data, kwargs
        if not isinstance(value, dict):
            raise self.make_error("type")
        kind = value.get(self.by)
        if kind is None:
            raise ma.ValidationError({self.by: [f"`{self.by}` is required."]})
        loader = self._loaders.get(kind) if isinstance(kind, str) else None
        if loader is None:
            text = str(self.error_messages["unknown"]).format(choices=", ".join(self._loaders))
            text += close_match(str(kind)[:80].lower(), self._loaders)
            raise ma.ValidationError({self.by: [text]})
        return loader.load(value)


class Either(fields.Field[Any]):
    """A value of one of several JSON types, each with its own field.

    Args:
        title: the name of its component in the document.
        options: pairs of Python types and the field that reads them.
        wanted: what to say to a value of none of those types.
    """

    def __init__(
        self,
        title: str,
        options: Sequence[tuple[tuple[type, ...], fields.Field[Any]]],
        *,
        wanted: str,
        **kwargs: Any,
    ) -> None:
        self.title, self.options, self.wanted = title, tuple(options), wanted
        super().__init__(**kwargs)

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> Any:
        del attr, data, kwargs
        for types, option in self.options:
            # Exact types: to Python a JSON true is an int as well.
            if type(value) in types:
                return option.deserialize(value)
        raise ma.ValidationError(self.wanted)


class Checked(fields.Field[Any]):
    """JSON that is kept as it was written; only types and names in it are checked here.

    Args:
        inner: the field that will load it.
    """

    def __init__(self, inner: fields.Field[Any], **kwargs: Any) -> None:
        self.inner = inner
        super().__init__(**kwargs)

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> Any:
        del attr, data, kwargs
        try:
            # Which cutters there are is looked up for all of them together.
            with reading(replace(current(), cutters=None)):
                self.inner.deserialize(value)
        except ma.ValidationError as error:
            if messages := structural(error.messages):
                raise ma.ValidationError(messages) from None
        return value
