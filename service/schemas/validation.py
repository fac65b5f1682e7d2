"""Bounds of checking one request by its schema, and a count of the work that it took."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, ClassVar

import marshmallow as ma
from marshmallow import fields, validate

from service.errors import MAX_FAULTS

MAX_ERRORS = MAX_FAULTS + 1
"""Errors after which checking stops: those that are reported, and one that says there are more."""


@dataclass
class ValidationCost:
    """What checking has cost: values looked at one by one, and errors collected."""

    elements: int = 0
    errors: int = 0


_WORK: ContextVar[ValidationCost | None] = ContextVar("validation_work", default=None)


@contextmanager
def counted() -> Iterator[ValidationCost]:
    """Count the work of the checks made within this block."""
    work = ValidationCost()
    token = _WORK.set(work)
    try:
        yield work
    finally:
        _WORK.reset(token)


def count_element() -> None:
    """Count one value of a list or an object that is looked at."""
    work = _WORK.get()
    if work is not None:
        work.elements += 1


class Errors:
    """The errors of one list or object, by index or name; full when there are enough."""

    def __init__(self) -> None:
        self.messages: dict[Any, Any] = {}
        self._count = 0

    def add(self, key: str | int, error: ma.ValidationError) -> None:
        """Note the errors of one value."""
        self.messages[key] = error.messages
        self._count += error_count(error.messages)
        work = _WORK.get()
        if work is not None:
            work.errors += 1

    @property
    def is_full(self) -> bool:
        """Return whether looking further would only find more than is reported."""
        return self._count >= MAX_ERRORS

    def finish(self) -> None:
        """Raise what was noted.

        Raises:
            marshmallow.ValidationError: when anything was.
        """
        if self.messages:
            raise ma.ValidationError(self.messages)


def error_count(messages: Any) -> int:  # noqa: ANN401 - marshmallow's own nesting
    """Return how many single errors marshmallow's messages hold."""
    if isinstance(messages, Mapping):
        return sum(error_count(each) for each in messages.values())
    return len(messages) if isinstance(messages, list) else 1


class List(fields.List[Any]):
    """A list whose length is checked before its elements, and that stops at enough errors."""

    #: Whether the elements that could be loaded are known beside the errors, ``None`` for others.
    keeps_valid: ClassVar[bool] = False

    def _deserialize(
        self,
        value: Any,  # noqa: ANN401 - any JSON value
        attr: str | None,
        data: Mapping[str, Any] | None,
        **kwargs: Any,  # noqa: ANN401 - marshmallow's own
    ) -> list[Any]:
        del attr, data
        if not isinstance(value, list):
            raise self.make_error("invalid")
        for check in self.validators:
            if isinstance(check, validate.Length):
                _check_count(check, len(value))
        loaded: list[Any] = []
        errors = Errors()
        for index, each in enumerate(value):
            count_element()
            try:
                loaded.append(self.element(each, **kwargs))
            except ma.ValidationError as error:
                errors.add(index, error)
                loaded.append(None)
                if errors.is_full:
                    break
        if self.keeps_valid and errors.messages:
            raise ma.ValidationError(errors.messages, valid_data=loaded)
        errors.finish()
        return loaded

    def element(self, value: Any, **kwargs: Any) -> Any:  # noqa: ANN401 - any JSON value
        """Return one element as it is loaded.

        Raises:
            marshmallow.ValidationError: when it does not fit.
        """
        return self.inner.deserialize(value, **kwargs)


def _check_count(allowed: validate.Length, count: int) -> None:
    """Raise where a list has too few or too many entries; the library would speak of a length.

    Raises:
        marshmallow.ValidationError: with the numbers allowed.
    """
    least, most = allowed.min, allowed.max
    if allowed.equal is not None:
        least = most = allowed.equal
    if (least is None or count >= least) and (most is None or count <= most):
        return
    if least == most:
        words = f"exactly {most}"
    elif most is None:
        words = f"at least {least}"
    else:
        words = f"at most {most}" if least is None else f"{least} to {most}"
    raise ma.ValidationError(f"Must be a list of {words}; it has {count}.")


class Partial(List):
    """A list of which those elements that could be loaded are used where others could not."""

    keeps_valid = True


class Pattern(validate.Regexp):
    """A pattern that the whole text has to match.

    ``$`` of JSON Schema is the end of the text; Python's also matches before a last line break.
    """

    def __call__(self, value: Any) -> Any:  # noqa: ANN401 - as the class above
        """Return the text.

        Raises:
            marshmallow.ValidationError: when it does not match.
        """
        if self.regex.fullmatch(value) is None:
            raise ma.ValidationError(self._format_error(value))
        return value
