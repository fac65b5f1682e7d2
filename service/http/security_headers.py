"""Security headers, and smaller parts of HTTP: OPTIONS, caching, compression."""

from __future__ import annotations

import gzip

from flask import Flask, Response, current_app, request

from service.http import error_handlers
from service.http.problems import ProblemError
from service.settings import Settings

#: Answers are data: they must not run scripts, be framed, or be taken for another type.
SHUT = {
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'; sandbox",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Frame-Options": "DENY",
}
_SQUEEZABLE = (
    "application/json",
    "application/problem+json",
    "image/svg+xml",
    "image/vnd.dxf",
    "text/",
)
_WORTH_IT = 1000
_SUFFIX = "-gzip"
_NO_BODY = {204, 304}


def register(app: Flask) -> None:
    """Add the headers to every answer of an application."""
    app.before_request(_plain_tags)
    # Flask calls these in reverse order.
    app.after_request(_shut)
    app.after_request(_squeeze)
    app.after_request(_cross_origin)
    app.after_request(_options)
    app.after_request(_validate)


def _options(response: Response) -> Response:
    """An answer to OPTIONS has no body, so no content type either."""
    if request.method == "OPTIONS" and not response.get_data():
        response.headers.pop("Content-Type", None)
        response.status_code = 204 if response.status_code == 200 else response.status_code  # noqa: PLR2004
    return response


def _shut(response: Response) -> Response:
    # One pass over the headers: looking up each name costs more than all the rest.
    there = {name.lower() for name, _ in response.headers}
    # Answers with a validator may be cached if revalidated each time; others may not.
    kept = "etag" in there and request.method in {"GET", "HEAD"}
    wanted = {**SHUT, "Cache-Control": "private, no-cache" if kept else "no-store"}
    for name, value in wanted.items():
        if name.lower() not in there:
            response.headers.add(name, value)
    return response


def _validate(response: Response) -> Response:
    """Add an entity tag to answers without one, so that clients can revalidate them."""
    if (
        request.method in {"GET", "HEAD"}
        and response.status_code == 200  # noqa: PLR2004 - only a full answer has one
        and request.path.startswith("/v1/")
        and "ETag" not in response.headers
        and not response.is_streamed
    ):
        response.add_etag(weak=True)
        response.make_conditional(request)
    if request.method in {"GET", "HEAD"} and response.status_code == 412:  # noqa: PLR2004 - as sent
        # The library leaves the whole answer in place, under its own media type.
        response.close()
        detail = "If-Match names another version than the current one; fetch it again without."
        return error_handlers.answer(ProblemError("precondition-failed", 412, detail))
    return response


def _plain_tags() -> None:
    """Treat the tag of a compressed form as the tag of the resource."""
    for name in ("HTTP_IF_NONE_MATCH", "HTTP_IF_MATCH"):
        stated = request.environ.get(name)
        if stated and f'{_SUFFIX}"' in stated:
            request.environ[name] = stated.replace(f'{_SUFFIX}"', '"')
            request.environ["quarterseam.squeezed"] = True


def _squeeze(response: Response) -> Response:
    if response.status_code in _NO_BODY:
        if request.environ.get("quarterseam.squeezed") and "ETag" in response.headers:
            _tag_as_squeezed(response)
        return response
    # Streams must not be buffered.
    if response.direct_passthrough or response.is_streamed:
        return response
    if not (response.content_type or "").startswith(_SQUEEZABLE):
        return response
    response.vary.add("Accept-Encoding")
    data = response.get_data()
    if len(data) < _WORTH_IT or not _takes_gzip():
        return response
    # Without a date, so that equal answers give equal bytes.
    response.set_data(gzip.compress(data, compresslevel=5, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    if "ETag" in response.headers:
        _tag_as_squeezed(response)
    return response


def _takes_gzip() -> bool:
    """Return whether the client takes compressed answers."""
    stated = request.environ.get("HTTP_ACCEPT_ENCODING", "").lower()
    # Most that do not, do not name it: the header is read only where it might.
    if "gzip" not in stated and "*" not in stated:
        return False
    return bool(request.accept_encodings["gzip"])


def _tag_as_squeezed(response: Response) -> None:
    tag, weak = response.get_etag()
    if tag is not None and not tag.endswith(_SUFFIX):
        response.set_etag(tag + _SUFFIX, weak=bool(weak))


def _cross_origin(response: Response) -> Response:
    """Allow calls from pages of the configured origins; by default from none."""
    settings: Settings = current_app.config["SETTINGS"]
    if not settings.cors_origins:
        return response
    response.vary.add("Origin")
    origin = request.headers.get("Origin", "")
    if origin not in settings.cors_origins:
        return response
    response.headers["Access-Control-Allow-Origin"] = origin
    response.headers["Access-Control-Expose-Headers"] = (
        "ETag, Link, Location, Preference-Applied, Retry-After, X-Request-ID"
    )
    response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
    if request.method == "OPTIONS" and "Access-Control-Request-Method" in request.headers:
        response.headers["Access-Control-Allow-Methods"] = response.headers.get("Allow", "GET")
        response.headers["Access-Control-Allow-Headers"] = (
            "Authorization, Content-Type, Idempotency-Key, If-Match, If-None-Match, Last-Event-ID, "
            "Prefer"
        )
        response.headers["Access-Control-Max-Age"] = "600"
    return response
