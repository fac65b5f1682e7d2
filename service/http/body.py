"""Reads JSON bodies strictly: media type, size, depth, finite numbers, no repeated members."""

from __future__ import annotations

import hashlib
import io
import logging
import re
from collections.abc import Mapping, Sequence
from itertools import islice
from typing import Any

from flask import Request, current_app, g
from gunicorn.http.errors import ParseException
from marshmallow import Schema
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.formparser import FormDataParser

from service.errors import Fault
from service.http.computations import compute
from service.http.named_blocks import block, block_named_in
from service.http.named_cutters import all_cutters, cutter, cutters_named_in
from service.http.named_price_lists import PriceLists, all_price_lists
from service.http.problems import ProblemError
from service.requests.counted_sources import CountedSource
from service.requests.saved_blocks import with_saved_block
from service.requests.saved_prices import with_saved_prices
from service.sandbox.admission import beds_are_few
from service.sandbox.bodies import load_body
from service.sandbox.unloaded import UnloadedBody
from service.schemas import strict_json

_LOG = logging.getLogger(__name__)
_PATCHES = {"application/json-patch+json", "application/merge-patch+json"}
_NO_CODING = {"", "identity"}
FORM = "multipart/form-data"
#: Maximum parts of a form; the limit of the body bounds their bytes.
_MAX_PARTS = 20
#: Maximum bytes of a part's headers.
_MAX_PART_HEADERS = 4096
#: As the parser finds it.
_END_OF_HEADERS = re.compile(rb"\r\n\r\n|\r\r|\n\n")
MAX_BYTES_CHECKED_HERE = 1 << 16
"""A longer body is parsed and checked in a child process."""


def read_checked(
    request: Request, schema: Schema, *, loads_in_child: bool = False
) -> tuple[Any, Any]:
    """Return a request's body, loaded by a schema, and its JSON values.

    Args:
        request: what was sent.
        schema: what its body must fit.
        loads_in_child: whether a large body is returned as an ``UnloadedBody``, without values.

    Raises:
        ProblemError: 415 for another media type, 413 for a body over the limit, 400 for one that
            cannot be read, is not strict JSON or is nested too deeply, 422 with all errors.
    """
    _check_kind(request)
    raw = read_limited(request)
    g.body_sha256 = hashlib.sha256(raw).hexdigest()
    depth = current_app.config["SETTINGS"].max_depth
    if len(raw) <= MAX_BYTES_CHECKED_HERE:
        return _checked_short(raw, schema, depth)
    # Values take many times the memory of their text, and validation takes time; a child process
    # has limits on both.
    known = all_cutters() if getattr(schema, "names_cutters", False) else {}
    lists = all_price_lists() if getattr(schema, "names_price_lists", False) else {}
    blocks = block_named_in(raw) if getattr(schema, "names_blocks", "") else {}
    if loads_in_child:
        return UnloadedBody(raw, type(schema), depth, known, lists, blocks), None
    return _checked_in_child(raw, schema, depth, known, lists, blocks)


def _checked_short(raw: bytes, schema: Schema, depth: int) -> tuple[Any, Any]:
    """Return a short body; in a child if what it names is long, or it has several shaped beds."""
    cutters, lists, blocks = (CountedSource(each) for each in (cutter, PriceLists(), block))
    document = strict_json.loads(raw, max_depth=depth)
    written = document
    if getattr(schema, "names_price_lists", False):
        written = with_saved_prices(written, lists)
    written = with_saved_block(written, getattr(schema, "names_blocks", ""), blocks)
    if getattr(schema, "names_cutters", False):
        for name in cutters_named_in(document):
            cutters(name)
    length = len(raw) + cutters.count + lists.count + blocks.count
    if length <= MAX_BYTES_CHECKED_HERE and beds_are_few(document, cutters.known):
        return load_body(schema, written, cutters), written
    return _checked_in_child(raw, schema, depth, cutters.known, lists.known, blocks.known)


def _checked_in_child(
    raw: bytes, schema: Schema, depth: int, *named: Mapping[str, Mapping[str, Any]]
) -> tuple[Any, Any]:
    """Return a body that a child process has loaded.

    Args:
        raw: the body.
        schema: what it must fit.
        depth: how deep it may be nested.
        named: the cutters, price lists and blocks that it may name.
    """
    found: tuple[Any, Any] = compute("checked_body", UnloadedBody(raw, type(schema), depth, *named))
    return found


def read_form(request: Request) -> tuple[dict[str, str], bytes]:
    """Return the text fields and the one file of a multipart form.

    Raises:
        ProblemError: 415 for another media type, 413 for a body over the limit, 422 unless it has
            exactly one part named ``file``.
    """
    if request.mimetype != FORM:
        raise ProblemError(
            "unsupported-media-type",
            415,
            f"Send {FORM} with a part named file, not "
            f"{request.mimetype[:80] or 'a body without Content-Type'}.",
            headers={"Accept-Post": FORM},
        )
    raw = read_limited(request)
    _check_part_headers(raw, request.mimetype_params.get("boundary", ""))
    # In memory, as the body is: a parser that stops half way would leave temporary files open.
    parser = FormDataParser(
        stream_factory=lambda *_, **__: io.BytesIO(),
        max_form_memory_size=len(raw),
        max_form_parts=_MAX_PARTS,
    )
    options = dict(request.mimetype_params)
    try:
        _, texts, files = parser.parse(io.BytesIO(raw), FORM, len(raw), options)
    except RequestEntityTooLarge:
        detail = f"A form has at most {_MAX_PARTS} parts."
        raise ProblemError("body-too-large", 413, detail) from None
    sent = [(name, file.stream.read()) for name, file in files.items(multi=True)]
    if [name for name, _ in sent] != ["file"]:
        detail = _no_single_file([name for name, _ in sent], texts)
        raise ProblemError("schema-mismatch", 422, detail, [Fault("#/file", detail)])
    doubled = [name for name in texts if len(texts.getlist(name)) > 1]
    if doubled:
        faults = [Fault(f"#/{name}", "State this field once.") for name in doubled]
        raise ProblemError("schema-mismatch", 422, "The form cannot be used.", faults)
    return dict(texts), sent[0][1]


def _no_single_file(names: Sequence[str | None], texts: Mapping[str, str]) -> str:
    """Return what is wrong with a form that has not one file in its part named ``file``."""
    if not names and "file" in texts:
        return 'The part named file is text; give it a name: filename="drawing.svg".'
    detail = f"Send exactly one file, in a part named file; the form has {len(names)}"
    if len(names) == 1:
        return f'{detail}, in a part named "{(names[0] or "")[:40]}".'
    return f"{detail}."


def _check_part_headers(raw: bytes, boundary: str) -> None:
    """Refuse parts whose headers are long: parsing them takes far longer than their length.

    Raises:
        ProblemError: 422 when there is one.
    """
    begins = re.compile(rb"(?:^|[\r\n])--" + re.escape(boundary.encode()) + rb"(?=[ \t]*[\r\n])")
    # The parser refuses more parts than these before it reads them.
    for begin in islice(begins.finditer(raw), _MAX_PARTS + 1):
        limit = begin.end() + _MAX_PART_HEADERS
        if limit < len(raw) and _END_OF_HEADERS.search(raw, begin.end(), limit) is None:
            detail = f"The headers of a part have at most {_MAX_PART_HEADERS} bytes."
            raise ProblemError("schema-mismatch", 422, detail, [Fault("#/file", detail)])


def read_limited(request: Request) -> bytes:
    """Return a request's raw body.

    Raises:
        ProblemError: 413 when it is longer than the limit, 400 when it cannot be read.
    """
    most: int = current_app.config["SETTINGS"].max_body_bytes
    stated = request.content_length
    if stated is not None and stated > most:
        raise too_large(most)
    # A chunked body states no length, and the server's stream ends silently at its own limit, one
    # byte above ours: that byte reveals a longer body.
    try:
        raw = request.get_data(cache=False)
    except (ParseException, OSError) as error:
        # The server decodes chunks during this read.
        _LOG.info("a body could not be read", extra={"cause": type(error).__name__})
        detail = "The body ends early, or its chunks are malformed (RFC 9112, section 7.1)."
        raise ProblemError("bad-request", 400, detail) from None
    if len(raw) > most:
        raise too_large(most)
    g.body_bytes = len(raw)
    return raw


def too_large(most: int) -> ProblemError:
    """Return the problem for a body over the limit."""
    return ProblemError("body-too-large", 413, f"A body has at most {most} bytes.")


def _check_kind(request: Request) -> None:
    coding = request.headers.get("Content-Encoding", "").strip().lower()
    if coding not in _NO_CODING:
        detail = f"The body has the content coding {coding[:40]}; send it without one."
        raise ProblemError(
            "unsupported-media-type", 415, detail, headers={"Accept-Encoding": "identity"}
        )
    kind = request.mimetype
    # A patch is JSON, too, but says how to change what is there, not what it is to be.
    if kind in _PATCHES or (
        kind != "application/json"
        and not (kind.startswith("application/") and kind.endswith("+json"))
    ):
        raise ProblemError(
            "unsupported-media-type",
            415,
            f"Send application/json, not {kind[:80] or 'a body without Content-Type'}.",
            headers={"Accept-Post": "application/json"},
        )
