"""Loads JSON values by a schema and says every fault at its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from marshmallow import Schema, ValidationError

from service.problems import Fault, ProblemError


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
    detail = f"{len(faults)} {'fault' if len(faults) == 1 else 'faults'} found; see errors."
    raise ProblemError("schema-mismatch", 422, detail, faults)


def _faults(messages: Mapping[Any, Any], at: str) -> Iterator[Fault]:
    for key, value in messages.items():
        step = str(key).replace("~", "~0").replace("/", "~1")
        place = at if key == "_schema" else at + (step if at == "?" else f"/{step}")
        if isinstance(value, Mapping):
            yield from _faults(value, place)
            continue
        texts: Sequence[Any] = value if isinstance(value, list) else [value]
        yield from (Fault(place, str(text)) for text in texts)
