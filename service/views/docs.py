"""A page that shows the API and lets users try calls; it loads nothing from other servers."""

from __future__ import annotations

import hashlib
import importlib.util
from functools import cache
from pathlib import Path

from flask import Blueprint, Response

from service.http.endpoint import Answer, op
from service.http.problems import ProblemError
from service.views.files import file_response

blueprint = Blueprint("docs", __name__, url_prefix="/docs")

#: Only scripts of this server, none inline; the viewer sets styles on its own elements.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
_PAGE = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>quarterseam: the contract</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/docs/swagger-ui.css">
<div id="contract"></div>
<script src="/docs/swagger-ui-bundle.js"></script>
<script src="/docs/start.js"></script>
</html>
"""
_START = """SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#contract",
  deepLinking: true,
  validatorUrl: null,
});
"""
_KINDS = {"swagger-ui.css": "text/css", "swagger-ui-bundle.js": "text/javascript"}
_OWN = {"start.js": ("text/javascript", _START.encode())}


@cache
def _folder() -> Path | None:
    """Return the folder of the viewer's files, without importing their package."""
    found = importlib.util.find_spec("flask_swagger_ui")
    if found is None or found.origin is None:
        return None
    return Path(found.origin).parent / "dist"


@cache
def _asset(name: str) -> tuple[str, bytes] | None:
    if name in _OWN:
        return _OWN[name]
    folder = _folder()
    if name not in _KINDS or folder is None:
        return None
    return _KINDS[name], (folder / name).read_bytes()


@blueprint.get("")
@op(
    id="readDocs",
    tag="operations",
    answers={200: Answer("The page", media=["text/html"], headers={"ETag": "of it"})},
    problems=[404],
    scope="",
)
def read_docs() -> Response:
    """Get a page that shows the API and lets you try calls."""
    if _folder() is None:
        detail = (
            "The page needs the package flask-swagger-ui; /openapi.json has the OpenAPI document."
        )
        raise ProblemError("not-found", 404, detail)
    return _with_policy(_PAGE.encode(), "text/html")


@blueprint.get("/<name>")
@op(
    id="readDocsFile",
    tag="operations",
    answers={
        200: Answer("The file", media=["text/css", "text/javascript"], headers={"ETag": "of it"})
    },
    problems=[404],
    scope="",
)
def read_docs_file(name: str) -> Response:
    """Get a script or a style sheet of the page."""
    found = _asset(name)
    if found is None:
        raise ProblemError("not-found", 404, "The page has no such file.")
    kind, data = found
    return _with_policy(data, kind)


def _with_policy(data: bytes, kind: str) -> Response:
    response = file_response(data, f"{kind}; charset=utf-8", etag=hashlib.sha256(data).hexdigest())
    response.headers["Content-Security-Policy"] = POLICY
    return response
