"""Links to kits' files: which file and for how long, and what their addresses hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate

from service.schemas.fields import Int, Name, Strict, Text

#: A working day, and a week.
_HOURS, _MAX_HOURS = 12, 168
_MAX_NAME = 120
DISPOSITIONS = ("attachment", "inline")
"""Whether a browser saves a file, or shows it where it can."""


@dataclass(frozen=True)
class FileLinkRequest:
    """A link that is asked for: to the file with this name, for so many hours."""

    file: str
    hours: int


class FileLinkRequestSchema(Strict):
    """A link to a kit's file that opens without a key."""

    file = Text(
        _MAX_NAME,
        least=1,
        required=True,
        metadata={"description": "the file's name, as in the kit's answer: run-sheet.pdf"},
    )
    hours = Int(
        load_default=_HOURS,
        validate=validate.Range(1, _MAX_HOURS),
        metadata={"description": "hours for which the link opens the file"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> FileLinkRequest:  # noqa: ANN401
        return FileLinkRequest(**data)


class KitFileQuerySchema(Strict):
    """How a file is sent, and what the address of a signed link holds in place of a key."""

    disposition = fields.String(
        validate=validate.OneOf(DISPOSITIONS),
        load_default=DISPOSITIONS[0],
        metadata={"description": "whether a browser saves the file or shows it (RFC 6266)"},
    )

    expires = Name("^[0-9]{1,12}$", "This is a time in seconds since 1970.")
    key = Name("^[A-Za-z0-9_-]{1,12}$", "This is the id of a key.")
    signature = Name("^[0-9a-f]{64}$", "This is the signature of a link.")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> str:  # noqa: ANN401
        # A link is checked where keys are, before its request is loaded.
        return str(data["disposition"])
