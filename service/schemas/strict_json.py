"""Strict JSON (RFC 8259): finite numbers, no repeated members, limited depth."""

from __future__ import annotations

import json
from typing import Any

import orjson

from service.errors import MalformedBodyError, TooDeepError


def loads(raw: bytes, *, max_depth: int) -> Any:  # noqa: ANN401 - any JSON value
    """Return the value of a JSON text.

    Raises:
        MalformedBodyError: when it is not strict JSON.
        TooDeepError: when it is nested more than ``max_depth`` levels deep.
    """
    try:
        value = orjson.loads(raw)
    except orjson.JSONDecodeError as error:
        if "depth" in str(error):
            raise _too_deep(max_depth) from None
        _check_text(raw)
        raise MalformedBodyError(f"This is not strict JSON: {error}.") from None
    _check_depth(value, max_depth)
    # Numbers were checked already; this checks only the names.
    json.loads(raw, object_pairs_hook=_once, parse_int=_ignored, parse_float=_ignored)
    return value


def _check_text(raw: bytes) -> None:
    """Raise for bytes that are no UTF-8, of which the library says neither which nor where."""
    try:
        raw.decode()
    except UnicodeDecodeError as bad:
        raise MalformedBodyError(
            f"The body is not in UTF-8, as JSON is: byte {bad.start} is 0x{raw[bad.start]:02x}."
        ) from None


def _check_depth(value: object, most: int) -> None:
    level = [value] if isinstance(value, (dict, list)) else []
    for _ in range(most):
        level = [
            child
            for each in level
            for child in (each.values() if isinstance(each, dict) else each)
            if isinstance(child, (dict, list))
        ]
        if not level:
            return
    raise _too_deep(most)


def _too_deep(most: int) -> TooDeepError:
    return TooDeepError(f"A body is nested at most {most} levels deep.")


def _once(pairs: list[tuple[str, Any]]) -> None:
    """Reject an object with a repeated member, because parsers differ on which one counts."""
    seen: set[str] = set()
    for name, _ in pairs:
        if name in seen:
            detail = f'The member "{name[:80]}" is stated twice in one object; state it once.'
            raise MalformedBodyError(detail)
        seen.add(name)


def _ignored(_: str) -> None:
    return None
