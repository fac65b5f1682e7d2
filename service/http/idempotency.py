"""The header Idempotency-Key: a repeated request creates only one kit."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from contextlib import contextmanager

from flask import g, request

from geometry.sentences import number_of
from service.http.current import store
from service.http.problems import ProblemError
from service.storage.idempotency_keys import Claim, ReusedError, RunningError

HEADER = "Idempotency-Key"
_PATTERN = re.compile(r"[\x21-\x7e]{1,255}")


def stated_key() -> str | None:
    """Return the key of the current request, if it has one.

    Raises:
        ProblemError: 400 for a malformed key.
    """
    stated = request.headers.get(HEADER)
    if stated is not None and not _PATTERN.fullmatch(stated):
        detail = f"{HEADER} has 1 to 255 printable characters without spaces."
        raise ProblemError("bad-request", 400, detail)
    return stated


@contextmanager
def claimed(how: str = "") -> Iterator[Claim | str | None]:
    """Yield the claim of the current request, the id of its kit if it exists, or ``None``.

    Args:
        how: what distinguishes requests in addition to method, path and body.

    If the block fails, the claim is released so that the key can be used again.

    Raises:
        ProblemError: 400 for a malformed key, 409 while the first request is being answered, 422
            when the key was used for another request.
    """
    stated = stated_key()
    if stated is None:
        yield None
        return
    claim = _taken(stated, how)
    try:
        yield claim
    except BaseException:
        if isinstance(claim, Claim):
            store().claims.release(claim)
        raise


def _taken(stated: str, how: str) -> Claim | str:
    whose = getattr(g, "key_id", "")
    key = hashlib.sha256(f"{whose} {stated}".encode()).hexdigest()
    asked = f"{request.method} {request.path} {g.body_sha256} {how}".rstrip()
    try:
        return store().claims.acquire(key, hashlib.sha256(asked.encode()).hexdigest())
    except ReusedError:
        detail = f"This {HEADER} was used for another request; use a new one for each."
        raise ProblemError("key-reused", 422, detail) from None
    except RunningError as error:
        detail = (
            f"The first request with this {HEADER} is still being answered. If it was cut off, the "
            f"key is free again in at most {number_of(error.free_in_s, 'second')}."
        )
        raise ProblemError("still-running", 409, detail, headers={"Retry-After": "2"}) from None
