"""Signed links to kits' files, which a browser opens without sending a key.

A link is the address of one file with the time at which it ends, the id of the key that made it and
an HMAC (RFC 2104) of these. The hash of the key's secret is signed too, so that a link ends with
that secret: when the key is revoked, expires, or has got another one.
"""

from __future__ import annotations

import hashlib
import hmac
import time
from dataclasses import dataclass
from urllib.parse import quote, urlencode

from flask import request

from service.http import rate_limit as rates
from service.http.current import settings, store
from service.http.problems import ProblemError
from service.links import timestamp
from service.storage.api_keys import Key
from service.storage.link_secret import link_secret

_SECOND = 1_000_000
#: Maximum digits of a time in seconds.
_MAX_DIGITS = 12
_ALTERED = (
    "This link was altered or cut short, or the key that made it was revoked, has expired or has "
    "another secret now. Open the file again from the page, or create another link."
)


@dataclass(frozen=True)
class FileLink:
    """A link to a file of a kit: its address, and when it ends, s since 1970."""

    href: str
    expires: int


def signed_link(path: str, hours: int, key_id: str, key_hash: str) -> FileLink:
    """Return a link to a file.

    Args:
        path: of the file on this service.
        hours: for how long it opens the file.
        key_id: the key that makes it.
        key_hash: the hash of that key's secret.
    """
    expires = int(time.time()) + 3600 * hours
    signature = _signature(path, str(expires), key_id, key_hash)
    query = {"expires": expires, "key": key_id, "signature": signature}
    return FileLink(f"{shown_address(path)}&{urlencode(query)}", expires)


def shown_address(path: str) -> str:
    """Return the address at which a browser shows a file instead of saving it."""
    return f"{quote(path)}?disposition=inline"


def is_link() -> bool:
    """Return whether the request is for a link's address, and sends no key itself."""
    return "signature" in request.args and "Authorization" not in request.headers


def key_of_link() -> Key:
    """Return the key that made the link that is requested.

    Raises:
        ProblemError: 403 for a link that was altered, has ended, or whose key is no longer in use.
    """
    stated = [request.args.getlist(name) for name in ("expires", "key", "signature")]
    expires, key_id, signature = (each[0] if len(each) == 1 else "" for each in stated)
    key, hashes = store().keys.accepted(key_id)
    # An unknown key takes the same path, so that timing does not reveal which keys exist.
    wanted = [_signature(request.path, expires, key_id, each) for each in hashes]
    matches = [hmac.compare_digest(each.encode(), signature.encode()) for each in wanted]
    if key is None or not any(matches) or not expires.isascii() or not expires.isdigit():
        rates.take_refusal()
        raise ProblemError("link-altered", 403, _ALTERED)
    if len(expires) > _MAX_DIGITS or int(expires) <= time.time():
        ended = timestamp(int(expires[:_MAX_DIGITS]) * _SECOND)
        detail = (
            f"This link ended at {ended}. Open the file again from the page, or create another one."
        )
        raise ProblemError("link-expired", 403, detail)
    return key


def _signature(path: str, expires: str, key_id: str, key_hash: str) -> str:
    # Only the path can hold a line break, so two different links never have the same message.
    message = f"GET\n{path}\n{expires}\n{key_id}\n{key_hash}"
    secret = link_secret(store().files, settings().link_secret_file)
    return hmac.new(secret, message.encode(), hashlib.sha256).hexdigest()
