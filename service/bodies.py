"""Reads JSON bodies strictly: kind, size, depth, finite numbers, every member once."""

from __future__ import annotations

import json
from typing import Any

import orjson
from flask import Request, current_app

from service.problems import ProblemError

_NO_CODING = {"", "identity"}


def read_json(request: Request) -> Any:  # noqa: ANN401 - any JSON value
    """Return a request's body as JSON values.

    Raises:
        ProblemError: 415 for another kind of body, 413 for one over the limit, 400 for one that
            is not strict JSON or is nested too deeply.
    """
    _check_kind(request)
    raw = read_limited(request)
    try:
        value = orjson.loads(raw)
    except orjson.JSONDecodeError as error:
        if "recursion" in str(error).lower():
            raise _too_deep() from None
        raise ProblemError("malformed-body", 400, f"This is not strict JSON: {error}.") from None
    _check_depth(value)
    _check_members(raw)
    return value


def read_limited(request: Request) -> bytes:
    """Return a request's raw body.

    Raises:
        ProblemError: 413 when it is longer than the limit.
    """
    most: int = current_app.config["SETTINGS"].max_body_bytes
    stated = request.content_length
    if stated is not None and stated > most:
        raise too_large(most)
    # A body in chunks states no length, and the server's stream ends silently at its own limit,
    # which is one byte above ours: a longer body shows by that byte.
    raw = request.get_data(cache=False)
    if len(raw) > most:
        raise too_large(most)
    return raw


def too_large(most: int) -> ProblemError:
    """Return the problem of a body over the limit."""
    return ProblemError("body-too-large", 413, f"A body has at most {most} bytes.")


def _check_kind(request: Request) -> None:
    coding = request.headers.get("Content-Encoding", "").strip().lower()
    if coding not in _NO_CODING:
        detail = f"The body is coded as {coding[:40]}; send it as it is."
        raise ProblemError(
            "unsupported-media-type", 415, detail, headers={"Accept-Encoding": "identity"}
        )
    kind = request.mimetype
    if kind != "application/json" and not (
        kind.startswith("application/") and kind.endswith("+json")
    ):
        raise ProblemError(
            "unsupported-media-type",
            415,
            f"Send application/json, not {kind[:80] or 'a body without Content-Type'}.",
            headers={"Accept-Post": "application/json"},
        )


def _check_depth(value: object) -> None:
    most: int = current_app.config["SETTINGS"].max_depth
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
    raise _too_deep()


def _too_deep() -> ProblemError:
    most: int = current_app.config["SETTINGS"].max_depth
    return ProblemError("too-deep", 400, f"A body is nested at most {most} levels deep.")


def _once(pairs: list[tuple[str, Any]]) -> None:
    seen: set[str] = set()
    for name, _ in pairs:
        if name in seen:
            detail = f'The member "{name[:80]}" is stated twice in one object; state it once.'
            raise ProblemError("malformed-body", 400, detail)
        seen.add(name)


def _check_members(raw: bytes) -> None:
    """Refuse an object that names a member twice: readers would differ on which one holds."""
    # Numbers were checked already; here only the names are wanted.
    json.loads(raw, object_pairs_hook=_once, parse_int=_ignored, parse_float=_ignored)


def _ignored(_: str) -> None:
    return None
