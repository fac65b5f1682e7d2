"""The field of a date."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import marshmallow as ma
from marshmallow import fields

_WRITTEN = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class Day(fields.Date):
    """A day of the calendar, as ISO 8601 writes it."""

    default_error_messages = {  # noqa: RUF012 - marshmallow's own name
        "invalid": 'Write year, month and day: "2026-12-24".',
        "no_day": "The calendar has no such day; check month and day.",
    }

    def _deserialize(
        self,
        value: Any,  # noqa: ANN401 - any JSON value
        attr: str | None,
        data: Mapping[str, Any] | None,
        **kwargs: Any,  # noqa: ANN401 - marshmallow's own
    ) -> Any:  # noqa: ANN401 - a day, of a module that only the edges import
        if not (isinstance(value, str) and _WRITTEN.fullmatch(value)):
            raise self.make_error("invalid", input=value)
        try:
            return super()._deserialize(value, attr, data, **kwargs)
        except ma.ValidationError:
            raise self.make_error("no_day", input=value) from None
