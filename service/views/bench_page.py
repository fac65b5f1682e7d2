"""The page for the person at the bench; it calls the same API as every other client."""

from __future__ import annotations

import hashlib

from flask import Blueprint, Response

from service import page
from service.http.endpoint import Answer, op
from service.http.problems import ProblemError
from service.views.files import file_response

blueprint = Blueprint("bench_page", __name__)

#: Scripts and styles of this server only, none inline; pictures come in answers or from here.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@blueprint.get("/")
@op(
    id="readBenchPage",
    tag="operations",
    answers={200: Answer("The page", media=["text/html"], headers={"ETag": "of it"})},
    scope="",
)
def read_bench_page() -> Response:
    """Get the page for the person at the bench: from a shape to a kit in a browser."""
    return _shut("index.html")


@blueprint.get("/page/<name>")
@op(
    id="readBenchPageFile",
    tag="operations",
    answers={
        200: Answer(
            "The file",
            media=["text/css", "text/javascript", "application/json"],
            headers={"ETag": "of it"},
        )
    },
    problems=[404],
    scope="",
    limited=False,
)
def read_bench_page_file(name: str) -> Response:
    """Get a script, a style sheet or the texts of the page."""
    if name not in page.names():
        raise ProblemError("not-found", 404, "The page has no such file.")
    return _shut(name)


def _shut(name: str) -> Response:
    data = page.read(name)
    kind = page.media_type(name)
    stated = kind if kind == "application/json" else f"{kind}; charset=utf-8"
    response = file_response(data, stated, etag=hashlib.sha256(data).hexdigest())
    response.headers["Content-Security-Policy"] = POLICY
    return response
