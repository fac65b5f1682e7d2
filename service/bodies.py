"""Reads JSON bodies strictly: kind, size, depth, finite numbers, every member once."""

from __future__ import annotations

import hashlib
from typing import Any

from flask import Request, current_app, g

from service import strict_json
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
    g.body_sha256 = hashlib.sha256(raw).hexdigest()
    return strict_json.loads(raw, max_depth=current_app.config["SETTINGS"].max_depth)


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
