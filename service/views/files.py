"""Answers that are files: kind, name, validator, never shown as a page."""

from __future__ import annotations

from flask import Response, request


def file_response(
    data: bytes, media_type: str, *, etag: str, name: str | None = None, status: int = 200
) -> Response:
    """Return a file; 304 when the client has it already.

    Args:
        data: its bytes.
        media_type: its kind.
        etag: what tells one version from another.
        name: to save it under; shown in place when ``None``.
        status: of a full answer.
    """
    response = Response(data, status=status, content_type=media_type)
    response.set_etag(etag)
    if name is not None:
        response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    if status == 200:  # noqa: PLR2004 - only a full answer can be left out
        response.make_conditional(request)
    return response
