# ruff: noqa: ANN401 - a field is handed any JSON value, and says which it takes
"""Marshmallow fields that take exactly what JSON says: no string is a number, no number a string.

Lengths become millimetres here, read in the units of the request that is being loaded.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from itertools import islice
from typing import Any, ClassVar, Literal

import marshmallow as ma
from marshmallow import fields, validate

from geometry import units as lengths
from geometry.errors import GeometryError
from service.schemas.context import current, reading
from service.schemas.errors import unread, unusable
from service.schemas.suggestions import suggestion
from service.schemas.validation import MAX_ERRORS, Pattern
from service.schemas.visible_text import VisibleText

MAX_TEXT = 40
"""Characters of a length or a name; the longest sensible one has half as many."""
MAX_COORDINATE = 1.0e6
"""Largest number of any kind in a request, whatever its unit."""
#: Of millimetres: as fine as the shortest length that is taken.
_DECIMALS = 6
MAX_POINTS = 5000
"""Vertices of one custom outline."""

#: What the schema library says of a field that is not known, and of one that is not there.
_UNKNOWN = "Unknown field."
_MISSING = "Missing data for required field."
IDENTIFIER = r"^[A-Za-z0-9][A-Za-z0-9._\-]{0,31}$"
CUTTER_NAME = r"^[a-z0-9][a-z0-9\-]{0,63}$"


def _number(value: object) -> bool:
    """Return whether a JSON value is a finite number within bounds."""
    return (
        isinstance(value, (int, float))
        and not isinstance(value, bool)
        # Whole numbers may be too large for a float; no comparison holds for what is no number.
        and abs(value) <= MAX_COORDINATE
    )


class Strict(ma.Schema):
    """A schema that refuses what it does not know."""

    #: Whether what it loads may name saved cutters.
    names_cutters: ClassVar[bool] = False
    #: Whether what it loads may name saved price lists.
    names_price_lists: ClassVar[bool] = False
    #: What takes the place of a saved block's name in what it loads: nothing, or see
    #: ``service.requests.saved_blocks``.
    names_blocks: ClassVar[Literal["", "drawing", "block"]] = ""
    #: Whether lengths are read in the units of what it is part of, if it states none itself.
    inherits_units: ClassVar[bool] = False

    class Meta:
        """Unknown fields are errors."""

        unknown = ma.RAISE

    def load(self, data: Any, **kwargs: Any) -> Any:
        """Return what a JSON object says; too many unknown members are not even looked at.

        Raises:
            ValidationError: when it does not fit.
        """
        if isinstance(data, dict) and len(data) > len(self.load_fields) + MAX_ERRORS:
            unknown = (name for name in data if name not in self.load_fields)
            text = str(self.error_messages["unknown"])
            raise ma.ValidationError({name: [text] for name in islice(unknown, MAX_ERRORS)})
        inherits = self.inherits_units and not (isinstance(data, dict) and "units" in data)
        if inherits or "units" not in self.load_fields:
            return super().load(data, **kwargs)
        # Known before any length is read, wherever in the object it stands.
        with reading(current().in_units_of(data, self.load_fields)):
            return super().load(data, **kwargs)

    def handle_error(self, error: ma.ValidationError, data: Any, **kwargs: Any) -> None:
        """Say what an unknown field was probably meant to be, and which are missing by name."""
        del kwargs
        messages = error.messages
        if not isinstance(messages, dict):
            return
        # marshmallow finds them in a set, whose order differs from process to process.
        for name in data if isinstance(data, dict) else ():
            if messages.get(name) == [_UNKNOWN]:
                messages[name] = messages.pop(name)
        known = [each.data_key or name for name, each in self.fields.items()]
        for name, texts in messages.items():
            if texts == [_UNKNOWN]:
                messages[name] = [f"{_UNKNOWN} {suggestion(str(name), known)}".rstrip()]
            elif texts == [_MISSING]:
                messages[name] = [f"`{name}` is required."]


class Num(fields.Float):
    """A JSON number."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.error_messages["invalid"] = "This is a number, written without quotation marks."

    def _validated(self, value: Any) -> float:
        if not isinstance(value, (int, float)) or isinstance(value, bool):
            raise self.make_error("invalid", input=value)
        return super()._validated(value)


class Int(fields.Integer):
    """A JSON number without a fraction (6.0 is one, as JSON Schema says)."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(strict=True, **kwargs)
        message = "This is a whole number, written without quotation marks."
        self.error_messages["invalid"] = message

    def _validated(self, value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise self.make_error("invalid", input=value)
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        return super()._validated(value)


class Digits(fields.Integer):
    """A whole number in a query, where everything is text: plain digits, nothing like them."""

    default_error_messages = {  # noqa: RUF012 - marshmallow's own name
        "invalid": "This is a whole number, written in digits alone, such as 20."
    }

    def _validated(self, value: Any) -> int:
        if not (isinstance(value, str) and re.fullmatch("[0-9]{1,9}", value)):
            raise self.make_error("invalid", input=value)
        return super()._validated(value)


class Bool(fields.Boolean):
    """``true`` or ``false``, nothing that looks like it."""

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> bool:
        del attr, data, kwargs
        if not isinstance(value, bool):
            raise self.make_error("invalid", input=value)
        return value


class Text(fields.String):
    """Printable text of at most ``most`` characters."""

    def __init__(self, most: int, *, least: int = 0, **kwargs: Any) -> None:
        checks: list[validate.Validator] = [
            validate.Length(min=least, max=most),
            VisibleText(),
        ]
        super().__init__(validate=checks, **kwargs)


class Name(fields.String):
    """Text of a fixed pattern, with the pattern's meaning as its error."""

    def __init__(self, pattern: str, meaning: str, **kwargs: Any) -> None:
        super().__init__(validate=Pattern(pattern, error=meaning), **kwargs)


def piece_id(**kwargs: Any) -> Name:
    """Return the field of a piece's id."""
    return Name(
        IDENTIFIER,
        "Use 1 to 32 letters, digits, dots, underscores and hyphens, starting with a letter "
        "or digit.",
        **kwargs,
    )


class Const(fields.String):
    """One fixed word, by which the variants of a union are distinguished."""

    def __init__(self, value: str, **kwargs: Any) -> None:
        self.const = value
        super().__init__(required=True, validate=validate.Equal(value), **kwargs)


class WrittenLength(fields.Field[Any]):
    """A length as the trade writes it: ``"1 1/4 in"``, ``"6.35 mm"``, or bare in ``units``."""

    default_error_messages = {  # noqa: RUF012 - marshmallow's own name
        "type": 'Not a length: write text such as "1 1/4 in" or "6.35 mm", or a number.',
        "text": f"A length has 1 to {MAX_TEXT} characters.",
        "number": "A length is a finite number, and at most a kilometre; check its unit.",
    }

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> Any:
        del attr, data, kwargs
        if isinstance(value, str):
            if not 1 <= len(value) <= MAX_TEXT:
                raise self.make_error("text")
        elif isinstance(value, bool) or not isinstance(value, (int, float)):
            raise self.make_error("type")
        elif not _number(value):
            raise self.make_error("number")
        return value


class Length(WrittenLength):
    """A length that is read: it loads in millimetres.

    Args:
        min_mm: smallest length that is taken.
        max_mm: largest length that is taken.
        positive: whether it must be more than ``min_mm``.
        default_mm: what it is when left out.
    """

    def __init__(
        self,
        *,
        min_mm: float = 0.0,
        max_mm: float = math.inf,
        positive: bool = False,
        default_mm: float | None = None,
        metadata: Mapping[str, Any] | None = None,
        **kwargs: Any,
    ) -> None:
        self.min_mm, self.max_mm, self.positive = min_mm, max_mm, positive
        described = dict(metadata or {})
        if default_mm is not None:
            kwargs["load_default"] = default_mm
            # With its unit, so that leaving it out needs no units either.
            described.setdefault("default", f"{default_mm:g} mm")
        super().__init__(metadata=described, **kwargs)

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> Any:
        value = super()._deserialize(value, attr, data, **kwargs)
        return self._within(self._read(value))

    @staticmethod
    def _read(value: str | float) -> float:
        known = current()
        try:
            return lengths.parse_length(value, known.units)
        except GeometryError as error:
            raise unread() if known.units_are_wrong else unusable(error.message) from None

    def _within(self, value: float) -> float:
        if value < self.min_mm or (self.positive and value <= self.min_mm):
            bound = f"{'more than' if self.positive else 'at least'} {self.min_mm:g}"
        elif value > self.max_mm:
            bound = f"at most {self.max_mm:g}"
        else:
            return value
        raise unusable(f"This length must be {bound} mm; it is {exact_mm(value)}.")


def exact_mm(value: float) -> str:
    """Return a length with all its decimals, so that it differs from the bound that it misses."""
    return f"{lengths.format_decimal(value, _DECIMALS)} mm"


class Points(fields.Field[Any]):
    """Rows of ``[x, y]`` or ``[x, y, bulge]``; one field, because a field a number is slow."""

    default_error_messages = {  # noqa: RUF012 - marshmallow's own name
        "type": "Not a list of points.",
        "count": f"An outline has 2 to {MAX_POINTS} points.",
        "row": f"A point is [x, y] or [x, y, bulge], finite numbers of at most {MAX_COORDINATE:g}.",
    }

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> Any:
        del attr, data, kwargs
        if not isinstance(value, list):
            raise self.make_error("type")
        if not 2 <= len(value) <= MAX_POINTS:  # noqa: PLR2004 - a circle is two halves
            raise self.make_error("count")
        faulty = ((at, [fault]) for at, row in enumerate(value) if (fault := self._fault(row)))
        if faults := dict(islice(faulty, MAX_ERRORS)):
            raise ma.ValidationError(faults)
        return value

    def _fault(self, row: object) -> str:
        # How large a bulge may be, geometry knows.
        fits = isinstance(row, list) and len(row) in {2, 3} and all(map(_number, row))
        return "" if fits else str(self.error_messages["row"])
