"""Callbacks: where the service reports that something has been made, and how it signs that."""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from marshmallow import ValidationError, fields, post_load

from service.schemas.fields import Strict, Text

MAX_URL = 500
#: Lengths of a secret that the Standard Webhooks specification 1.0.0 allows, bytes.
MIN_SECRET, MAX_SECRET = 24, 64
_PREFIX = "whsec_"
#: Visible ASCII: nothing in it can end a line of a request.
_VISIBLE = re.compile(r"[\x21-\x7e]+")
#: What the document states of a URL: a host by name or address, IPv6 in full or ``[::1]``.
_LABEL = "[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?"
_PORT = "[1-9][0-9]{0,3}|[1-5][0-9]{4}|6[0-4][0-9]{3}|65[0-4][0-9]{2}|655[0-2][0-9]|6553[0-5]"
_URL_PATTERN = (
    rf"^https?://({_LABEL}(\.{_LABEL})*"
    r"|\[([0-9A-Fa-f]{1,4}:){7}[0-9A-Fa-f]{1,4}\]|\[::1\])"
    rf"(:({_PORT}))?(/[!\x22$-~]*)?$"
)
#: The same of a secret: ``MIN_SECRET`` to ``MAX_SECRET`` bytes.
_SIGNING_PATTERN = (
    r"^whsec_([A-Za-z0-9+/]{4}){8,20}([A-Za-z0-9+/]{2}==|[A-Za-z0-9+/]{3}="
    r"|[A-Za-z0-9+/]{4}([A-Za-z0-9+/]{2}==)?)?$"
)


@dataclass(frozen=True)
class Callback:
    """Where a caller is called back.

    Args:
        url: of the receiver, with the scheme ``http`` or ``https``.
        secret: which signs the message, as it was written: ``whsec_`` and base64.
    """

    url: str
    secret: str

    def __repr__(self) -> str:
        """Return it without its secret, and without the path, which may hold another."""
        return f"Callback({urlsplit(self.url).hostname})"


class CallbackSchema(Strict):
    """Where a caller is called back."""

    url = Text(
        MAX_URL,
        required=True,
        metadata={
            "description": "where it is sent by POST; `https`, or `http` to an address that the "
            "operator has listed. The operator lists the hosts that may be called",
            "pattern": _URL_PATTERN,
        },
    )
    secret = Text(
        100,
        required=True,
        metadata={
            "description": "signs the message as Standard Webhooks specifies: `whsec_` and the "
            f"base64 of {MIN_SECRET} to {MAX_SECRET} random bytes",
            "pattern": _SIGNING_PATTERN,
            "writeOnly": True,
        },
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Callback:  # noqa: ANN401
        errors = {}
        if wrong := _wrong_url(data["url"]):
            errors["url"] = [wrong]
        try:
            secret_bytes(data["secret"])
        except ValueError as error:
            errors["secret"] = [str(error)]
        if errors:
            raise ValidationError(errors)
        return Callback(**data)


def callback_field(when: str) -> fields.Nested:
    """Return the field of a callback.

    Args:
        when: it is sent.
    """
    description = f"called back once, {when}; see openapi/CALLBACKS.md"
    return fields.Nested(CallbackSchema, metadata={"description": description})


def without_callback(document: Mapping[str, Any]) -> dict[str, Any]:
    """Return a request as it is stored: without a secret, and the same for every receiver."""
    return {name: value for name, value in document.items() if name != "callback"}


def secret_bytes(text: str) -> bytes:
    """Return the bytes of a secret.

    Raises:
        ValueError: when it is not one; the message does not repeat it.
    """
    wanted = f"whsec_ and the base64 of {MIN_SECRET} to {MAX_SECRET} bytes"
    try:
        found = base64.b64decode(text.removeprefix(_PREFIX), validate=True)
    except binascii.Error:
        found = b""
    if not text.startswith(_PREFIX) or not MIN_SECRET <= len(found) <= MAX_SECRET:
        raise ValueError(f"This is not a secret: {wanted}, as `openssl rand -base64 32` makes it.")
    return found


def _wrong_url(url: str) -> str:
    """Return what is wrong with a receiver's URL; empty when nothing is."""
    try:
        parts = urlsplit(url)
        has_port = parts.port is None or parts.port > 0
    except ValueError:
        parts, has_port = urlsplit(""), False
    if parts.scheme not in {"http", "https"} or not parts.hostname or not has_port:
        return "This is a URL such as https://hooks.example.org/quarterseam."
    if not _VISIBLE.fullmatch(url):
        return "A URL has printable ASCII characters without spaces; encode all others."
    if parts.username is not None or parts.password is not None:
        return "Leave out user and password: the receiver checks the signature."
    if parts.fragment:
        return "Leave out the part from # on: it is not sent."
    return ""
