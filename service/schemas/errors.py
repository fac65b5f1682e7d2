"""The errors that schemas raise for values of the right type that cannot be used."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Self

import marshmallow as ma
from marshmallow.error_store import merge_errors

from geometry.errors import GeometryError, GeometryFaults
from service.errors import InvalidRequestError
from service.schemas.context import current
from service.schemas.units_in_text import in_units

#: The problem type of such an error, unless it names one of its own.
INVALID = InvalidRequestError.slug


class Unusable(str):
    """A message about a value that has the right type but cannot be used.

    Args:
        text: what is wrong and what would be right.
        slug: the problem type of a request that has no other error.
        extra: further members of that problem.
    """

    __slots__ = ("extra", "slug")
    slug: str
    extra: dict[str, Any]

    def __new__(cls, text: str, slug: str = INVALID, extra: dict[str, Any] | None = None) -> Self:
        """Make the text, its lengths in the request's units."""
        made = super().__new__(cls, in_units(text, current().units))
        made.slug, made.extra = slug, dict(extra or {})
        return made


def unusable(
    text: str,
    *where: str | int,
    slug: str = INVALID,
    **extra: Any,  # noqa: ANN401 - any JSON
) -> ma.ValidationError:
    """Return the error of a value that cannot be used, at a place below the one loaded."""
    return _at(where, [Unusable(text, slug, extra)])


def of_geometry(error: GeometryError, *where: str | int) -> ma.ValidationError:
    """Return an error of geometry as errors of the values that caused it, below the one loaded."""
    found = error.faults if isinstance(error, GeometryFaults) else (error,)
    return together(unusable(each.message, *where, *each.where) for each in found)


def unread() -> ma.ValidationError:
    """Return the error of a value that cannot be read because of an error reported elsewhere."""
    return ma.ValidationError([])


def together(errors: Iterable[ma.ValidationError]) -> ma.ValidationError:
    """Return several errors as one."""
    messages: Any = None
    for each in errors:
        messages = each.messages if messages is None else merge_errors(messages, each.messages)  # type: ignore[no-untyped-call]
    return ma.ValidationError([] if messages is None else messages)


def raise_together(errors: Iterable[ma.ValidationError]) -> None:
    """Raise several errors as one, if there are any.

    Raises:
        marshmallow.ValidationError: that holds all of them.
    """
    if found := list(errors):
        raise together(found)


def structural(messages: Any) -> Any:  # noqa: ANN401 - marshmallow's nesting
    """Return only the messages about wrong types and names, without the ``Unusable`` ones."""
    if isinstance(messages, Mapping):
        kept = {key: structural(each) for key, each in messages.items()}
        return {key: each for key, each in kept.items() if each}
    texts = messages if isinstance(messages, list) else [messages]
    return [each for each in texts if not isinstance(each, Unusable)]


def _at(where: tuple[str | int, ...], messages: Any) -> ma.ValidationError:  # noqa: ANN401 - nested
    for step in reversed(where):
        messages = {step: messages}
    return ma.ValidationError(messages)
