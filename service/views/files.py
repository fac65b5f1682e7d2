"""Answers that are files: media type, name, validator, and the policy of those that are shown."""

from __future__ import annotations

from flask import Response, request

from service.http.endpoint import JSON
from service.links import CSV, HTML, PDF, PNG, SVG, TEXT

INLINE = "inline"
#: What is shown runs and loads nothing; styles and drawings of a sheet's page are inside it.
_PDF_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; "
    "frame-ancestors 'none'"
)


def file_response(
    data: bytes,
    media_type: str,
    *,
    etag: str,
    name: str | None = None,
    status: int = 200,
    disposition: str = "attachment",
) -> Response:
    """Return the response for a file; 304 when the client has it already.

    Args:
        data: the file's content.
        media_type: its media type.
        etag: its entity tag.
        name: file name for saving; shown in the browser when ``None``.
        status: status of a full answer.
        disposition: whether a browser saves a file with a name, or shows it: ``inline``.
    """
    response = Response(data, status=status, content_type=media_type)
    response.set_etag(etag)
    if name is not None:
        response.headers["Content-Disposition"] = f'{disposition}; filename="{name}"'
        if disposition == INLINE:
            response.headers["Content-Security-Policy"] = _shown_policy(media_type)
    if status == 200:  # noqa: PLR2004 - only a full answer can be left out
        response.make_conditional(request)
    return response


def _shown_policy(media_type: str) -> str:
    # Browsers show no PDF in a sandbox: their own reader shows it, which runs nothing of ours.
    return _PDF_POLICY if media_type == PDF else f"{_PDF_POLICY}; sandbox"


def kit_file_types() -> list[str]:
    """Return the media types of files that a kit can hold."""
    # Imported here because loading every adapter takes time, and only the document needs it.
    from adapters import registry  # noqa: PLC0415

    found = {
        CSV,
        HTML,
        PDF,
        PNG,
        SVG,
        TEXT,
        *(registry.get(name).media_type for name in registry.names()),
    }
    # JSON comes last: generated clients use the first type that their generator supports, and most
    # of these files are not JSON.
    return sorted(found, key=lambda kind: (kind == JSON, kind))
