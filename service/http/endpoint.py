"""The decorator that validates and documents views, so that document and behaviour agree."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, is_dataclass
from functools import wraps
from typing import Any

import orjson
from flask import Response, request
from marshmallow import Schema

from service.errors import Fault, ReportedError, pointing_into
from service.http.body import FORM, read_checked, read_form
from service.http.problems import ProblemError
from service.sandbox.unloaded import UnloadedBody
from service.schemas.codec import dump
from service.schemas.loading import load

JSON = "application/json"
#: What a view may return: a response, or an answer, alone or with a status and headers.
Handed = Response | Any


@dataclass(frozen=True)
class Answer:
    """One successful answer of an operation.

    Args:
        description: its content.
        schema: the dataclass of its JSON form, if it has one; several where it is one of them.
        media: further media types, whose bodies are bytes; a function where only the document needs
            them and the view checks them itself.
        headers: names and descriptions of its headers.
        links: operations whose parameter ``link_id`` takes the answer's ``id``.
        link_id: the name of that parameter.
    """

    description: str
    schema: type[Any] | tuple[type[Any], ...] | None = None
    media: Sequence[str] | Callable[[], Sequence[str]] = ()
    headers: Mapping[str, str] = field(default_factory=dict)
    links: Sequence[str] = ()
    link_id: str = "kit_id"

    @property
    def media_types(self) -> tuple[str, ...]:
        """Return its media types, the default first."""
        known = () if callable(self.media) else tuple(self.media)
        return ((JSON,) if self.schema is not None else ()) + known

    def other_media(self) -> Sequence[str]:
        """Return the media types other than JSON by schema."""
        return self.media() if callable(self.media) else self.media


@dataclass(frozen=True)
class Operation:
    """A view's entry in the document."""

    id: str
    tag: str
    answers: Mapping[int, Answer]
    text: str
    body: type[Schema] | None = None
    query: type[Schema] | None = None
    problems: Sequence[int] = ()
    examples: Sequence[str] = ()
    scope: str = "read"
    takes: Sequence[str] = ()
    limited: bool = True
    form: type[Schema] | None = None
    takes_links: bool = False
    loads_in_child: bool = False

    @property
    def media_types(self) -> tuple[str, ...]:
        """Return the media types of all successful answers."""
        found: dict[str, None] = {}
        for each in self.answers.values():
            found.update(dict.fromkeys(each.media_types))
        return tuple(found)


def op(  # noqa: PLR0913 - what a view may state, by keywords
    *,
    id: str,  # noqa: A002 - OpenAPI's own word
    tag: str,
    answers: Mapping[int, Answer],
    body: type[Schema] | None = None,
    query: type[Schema] | None = None,
    problems: Sequence[int] = (),
    examples: Sequence[str] = (),
    scope: str = "read",
    takes: Sequence[str] = (),
    limited: bool = True,
    form: type[Schema] | None = None,
    takes_links: bool = False,
    loads_in_child: bool = False,
) -> Callable[[Callable[..., Handed]], Callable[..., Response]]:
    """Return a decorator that validates requests by schemas and records what to document.

    Args:
        id: id of the operation in the document.
        tag: group that it is listed in.
        answers: successful answers by status.
        body: schema of the JSON body, which is passed to the view as ``body``.
        query: schema of the query, which is passed to the view as ``query``.
        problems: statuses of problems in addition to those of every operation.
        examples: names of files in openapi/examples with example bodies.
        scope: scope that a key needs.
        takes: names of request headers that it uses.
        limited: whether the rate limit applies.
        form: schema of the text fields of a multipart form with one file; passed to the view as
            ``form``, and the file's bytes as ``file``. With a body too, the media type decides.
        takes_links: whether a signed link stands in for a key (``service/http/file_links.py``).
        loads_in_child: whether the view passes a large body on to a task that loads it.
    """

    def decorate(view: Callable[..., Handed]) -> Callable[..., Response]:
        operation = Operation(
            id, tag, answers, inspect.getdoc(view) or "", body, query, problems, examples, scope,
            takes, limited, form, takes_links, loads_in_child,
        )  # fmt: skip
        return _checked(view, operation)

    return decorate


def _checked(view: Callable[..., Handed], operation: Operation) -> Callable[..., Response]:
    """Return a view that is given what the schemas of its operation load."""
    body_schema = None if operation.body is None else operation.body()
    query_schema = None if operation.query is None else operation.query()
    form_schema = None if operation.form is None else operation.form()

    @wraps(view)
    def checked(**path: Any) -> Response:  # noqa: ANN401 - a view's own
        check_accept(operation.media_types)
        path |= _loaded_query(query_schema)
        if form_schema is not None and (body_schema is None or request.mimetype == FORM):
            fields, path["file"] = read_form(request)
            path["form"] = load(form_schema, fields)
        elif body_schema is not None:
            in_child = operation.loads_in_child
            read = read_checked(request, body_schema, loads_in_child=in_child)
            return _with_body(view, path, *read)
        return respond(view(**path))

    checked.operation = operation  # type: ignore[attr-defined]
    return checked


def _with_body(
    view: Callable[..., Any],
    path: dict[str, Any],
    body: Any,  # noqa: ANN401 - as its schema loads it
    document: Any,  # noqa: ANN401 - JSON values
) -> Response:
    """Return a view's answer to a body; problems point into the body's JSON."""
    try:
        return respond(view(**path, body=body))
    except ReportedError as error:
        if isinstance(body, UnloadedBody):
            raise
        raise pointing_into(error, document) from error


def check_accept(media_types: Sequence[str]) -> None:
    """Raise an error for a request that excludes every media type of the answer.

    Raises:
        ProblemError: 406.
    """
    # Without the header, nothing is parsed.
    if not media_types or not request.environ.get("HTTP_ACCEPT") or not request.accept_mimetypes:
        return
    if request.accept_mimetypes.best_match(media_types) is None:
        detail = f"This resource has the media types {', '.join(media_types)}."
        raise ProblemError("not-acceptable", 406, detail)


def chosen(media_types: Sequence[str]) -> str:
    """Return the media type that the request prefers; the first if it has no preference."""
    if not request.accept_mimetypes:
        return media_types[0]
    return request.accept_mimetypes.best_match(media_types) or media_types[0]


def _loaded_query(schema: Schema | None) -> dict[str, Any]:
    given = request.args.to_dict(flat=False)
    faults = [
        Fault(f"?{name}", "State this parameter once.")
        for name, values in given.items()
        if len(values) > 1
    ]
    if schema is None:
        faults += [Fault(f"?{name}", "Unknown parameter.") for name in given]
    if faults:
        raise ProblemError("schema-mismatch", 422, "The query cannot be used.", faults)
    if schema is None:
        return {}
    return {"query": load(schema, {name: values[0] for name, values in given.items()}, "?")}


def respond(handed: Handed) -> Response:
    """Return a view's result as a response."""
    if isinstance(handed, Response):
        return handed
    value, status, headers = handed, 200, {}
    if isinstance(handed, tuple):
        value, status, headers = handed
    data = b"" if value is None else orjson.dumps(dump(value) if is_dataclass(value) else value)
    response = Response(data, status=status, headers=headers)
    if value is None:
        del response.headers["Content-Type"]
    else:
        response.mimetype = JSON
    return response
