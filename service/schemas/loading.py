"""Loads JSON values by a schema into what they mean and reports every error at its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from marshmallow import Schema, ValidationError

from geometry.sentences import number_of
from service.errors import (
    MAX_FAULTS,
    Fault,
    InvalidRequestError,
    RequestError,
    SchemaMismatchError,
    request_error,
)
from service.schemas.context import CutterSource, Reading, current, reading
from service.schemas.errors import INVALID, Unusable
from service.schemas.library_messages import in_plain_words

#: A longer name of a member is not repeated: ours are shorter.
_LONGEST_NAME = 100
_MISMATCH = SchemaMismatchError.slug


class Found(NamedTuple):
    """One error of a request, the type of problem that it is alone, and that type's members."""

    fault: Fault
    slug: str = INVALID
    extra: Mapping[str, Any] = {}


def load(
    schema: Schema,
    value: Any,  # noqa: ANN401 - JSON values
    root: str = "#",
    *,
    cutters: CutterSource | None = None,
) -> Any:  # noqa: ANN401 - as the schema loads it
    """Return a value as a schema loads it.

    Args:
        schema: what it must fit.
        value: JSON values.
        root: ``#`` for a body, ``?`` for query parameters.
        cutters: gives the cutters that a request names.

    Raises:
        RequestError: with every error: ``schema-mismatch`` when any value is of a wrong type
            or name, else ``invalid-request`` or the single error's own type.
    """
    loaded, found = load_all(schema, value, root, cutters=cutters)
    if found:
        raise refusal(found)
    return loaded


def load_all(
    schema: Schema,
    value: Any,  # noqa: ANN401 - JSON values
    root: str = "#",
    *,
    cutters: CutterSource | None = None,
) -> tuple[Any, list[Found]]:
    """Return a value as :func:`load` does, and the errors in it.

    Where there are errors, what is returned are the members that could be loaded all the same.

    Raises:
        SchemaMismatchError: for a value that is no JSON object.
    """
    if not isinstance(value, dict):
        fault = Fault(root, "The body must be a JSON object.")
        raise SchemaMismatchError(fault.detail, [fault])
    try:
        source = None if cutters is None else cache(cutters)
        with reading(Reading(cutters=source, is_stored=current().is_stored)):
            return schema.load(value), []
    except ValidationError as error:
        messages = error.messages if isinstance(error.messages, dict) else {"_": error.messages}
        valid = error.valid_data if isinstance(error.valid_data, dict) else {}
        return valid, list(errors_in(messages, root))


def refusal(found: Sequence[Found]) -> RequestError:
    """Return the one problem that reports these errors."""
    faults = [each.fault for each in found]
    if not found or any(each.slug == _MISMATCH for each in found):
        return SchemaMismatchError(count_of(len(faults)), faults)
    if len(found) == 1 and found[0].slug != INVALID:
        only = found[0]
        return request_error(only.slug, only.fault.detail, faults, only.extra)
    if len(faults) > MAX_FAULTS:
        return InvalidRequestError(count_of(len(faults)), faults)
    detail = "The request can be read but some of its values cannot be used."
    return InvalidRequestError(detail, faults)


def count_of(count: int) -> str:
    """Return the sentence that says how many errors were found, and how many are listed."""
    if count > MAX_FAULTS:
        # Where checking stopped there may be any number.
        return f"More than {MAX_FAULTS} faults found; errors lists the first {MAX_FAULTS}."
    return f"{number_of(count, 'fault')} found; see errors."


def errors_in(messages: Mapping[Any, Any], at: str) -> Iterator[Found]:
    """Yield the single errors of marshmallow's messages, each at its pointer."""
    for key, value in messages.items():
        if len(str(key)) > _LONGEST_NAME:
            detail = f'The member "{str(key)[:_LONGEST_NAME]}..." has too long a name.'
            yield Found(Fault(at, detail), _MISMATCH)
            continue
        step = str(key).replace("~", "~0").replace("/", "~1")
        place = at if key == "_schema" else at + (step if at == "?" else f"/{step}")
        if isinstance(value, Mapping):
            yield from errors_in(value, place)
            continue
        texts: Sequence[Any] = value if isinstance(value, list) else [value]
        # What is missing is nowhere: the object that lacks it is pointed at, the text names it.
        lacking = at if at.startswith("#") else place
        for text in texts:
            if isinstance(text, Unusable):
                yield Found(Fault(place, str(text)), text.slug, text.extra)
            else:
                where = lacking if text == f"`{key}` is required." else place
                yield Found(Fault(where, in_plain_words(str(text))), _MISMATCH)
