"""Answers that are files: media type, name, validator; never rendered as a page."""

from __future__ import annotations

from flask import Response, request


def file_response(
    data: bytes, media_type: str, *, etag: str, name: str | None = None, status: int = 200
) -> Response:
    """Return the response for a file; 304 when the client has it already.

    Args:
        data: the file's content.
        media_type: its media type.
        etag: its entity tag.
        name: file name for saving; shown in the browser when ``None``.
        status: status of a full answer.
    """
    response = Response(data, status=status, content_type=media_type)
    response.set_etag(etag)
    if name is not None:
        response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    if status == 200:  # noqa: PLR2004 - only a full answer can be left out
        response.make_conditional(request)
    return response
