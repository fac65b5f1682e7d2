"""Loads JSON values by a schema and says every fault at its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from marshmallow import Schema, ValidationError

from service.http.problems import MOST_FAULTS, Fault, ProblemError

#: A longer name of a member is not repeated: ours are shorter.
_LONGEST_NAME = 100


def load(schema: Schema, value: Any, root: str = "#") -> Any:  # noqa: ANN401 - JSON values
    """Return a value as a schema loads it.

    Args:
        schema: what it must fit.
        value: JSON values.
        root: ``#`` for a body, ``?`` for query parameters.

    Raises:
        ProblemError: 422 ``schema-mismatch`` with every fault.
    """
    if not isinstance(value, dict):
        fault = Fault(root, "The body must be a JSON object.")
        raise ProblemError("schema-mismatch", 422, fault.detail, [fault])
    try:
        return schema.load(value)
    except ValidationError as error:
        messages = error.messages if isinstance(error.messages, dict) else {"_": error.messages}
        faults = list(_faults(messages, root))
    raise ProblemError("schema-mismatch", 422, found(len(faults)), faults)


def found(count: int) -> str:
    """Return the sentence that says how many faults were found, and how many are listed."""
    if count > MOST_FAULTS:
        # Where checking stopped there may be any number.
        return f"More than {MOST_FAULTS} faults found; errors lists the first {MOST_FAULTS}."
    return f"{count} {'fault' if count == 1 else 'faults'} found; see errors."


def _faults(messages: Mapping[Any, Any], at: str) -> Iterator[Fault]:
    for key, value in messages.items():
        if len(str(key)) > _LONGEST_NAME:
            yield Fault(at, f'The member "{str(key)[:_LONGEST_NAME]}..." has too long a name.')
            continue
        step = str(key).replace("~", "~0").replace("/", "~1")
        place = at if key == "_schema" else at + (step if at == "?" else f"/{step}")
        if isinstance(value, Mapping):
            yield from _faults(value, place)
            continue
        texts: Sequence[Any] = value if isinstance(value, list) else [value]
        # What is missing is nowhere: the object that lacks it is pointed at, the text names it.
        lacking = at if at.startswith("#") else place
        for text in texts:
            yield Fault(lacking if text == f"`{key}` is required." else place, str(text))
