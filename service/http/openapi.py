"""Generates the OpenAPI document from the schemas and the views."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from apispec import APISpec
from flask import Flask
from werkzeug.routing import Rule

from service import __version__
from service.answers.callbacks import CallbackBody
from service.answers.problems import Problem
from service.http.body import FORM
from service.http.endpoint import JSON, Answer, Operation
from service.http.openapi_fields import SchemaPlugin
from service.http.problem_types import TYPES
from service.schemas.answers import schema_of

#: Example bodies in the document, which the tests run.
EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples"
_PROBLEM = "application/problem+json"
_PATH_TYPES: dict[str, dict[str, str | int]] = {
    "UUIDConverter": {"type": "string", "format": "uuid"},
    "UnicodeConverter": {"type": "string", "minLength": 1},
}
_HEADERS: dict[str, dict[str, str | list[str]]] = {
    "Idempotency-Key": {"type": "string", "pattern": "^[!-~]{1,255}$"},
    "If-Match": {"type": "string"},
    "If-None-Match": {"type": "string"},
    "Prefer": {"type": "string", "examples": ["respond-async"]},
    "Last-Event-ID": {"type": "string"},
}
_TEXT = (
    "One definition of a patchwork piece; templates, patches, layouts and files for cutters "
    "computed from it. Lengths are text with a unit, such as `1 1/4 in`, or bare numbers in the "
    "request's `units`; answers are in millimetres. Every error is a problem document."
)
#: Problems that any operation can return: malformed HTTP, another host, unknown query parameters,
#: and errors of ours.
_ALWAYS = (400, 408, 414, 421, 422, 431, 500)
_WITH_BODY = (413, 415)
_EVENTS = "text/event-stream"


def document(app: Flask) -> dict[str, Any]:
    """Return the OpenAPI 3.1 document of an application."""
    plugin = SchemaPlugin()
    spec = APISpec(
        "quarterseam",
        __version__,
        "3.1.0",
        plugins=[plugin],
        info={"description": _TEXT, "license": {"name": "MIT", "identifier": "MIT"}},
        servers=[{"url": "/"}],
    )
    spec.components.security_scheme("key", {"type": "http", "scheme": "bearer"})
    spec.components.schema("Problem", schema=schema_of(Problem))
    spec.components.response(
        "Problem",
        {
            "description": "A problem document (RFC 9457)",
            "content": {_PROBLEM: {"schema": {"$ref": "#/components/schemas/Problem"}}},
        },
    )
    for rule in sorted(app.url_map.iter_rules(), key=lambda each: (each.rule, each.endpoint)):
        operation = getattr(app.view_functions[rule.endpoint], "operation", None)
        if operation is None:
            continue
        methods = sorted((rule.methods or set()) - {"HEAD", "OPTIONS"})
        entry = _operation(rule, operation)
        path = re.sub(r"<(?:[^:<>]+:)?([^<>]+)>", r"{\1}", rule.rule)
        spec.path(path, operations={method.lower(): entry for method in methods})
    spec.components.schema("CallbackBody", schema=schema_of(CallbackBody))
    entry = spec.to_dict()
    entry["webhooks"] = {"callback": {"post": _callback()}}
    entry["info"] = {**entry["info"], "x-problem-types": sorted(TYPES)}
    return _exact(entry)


def _callback() -> dict[str, Any]:
    """Return what the service sends to a receiver, as the document states it."""
    headers = ("webhook-id", "webhook-timestamp", "webhook-signature")
    return {
        "operationId": "receiveCallback",
        "summary": "Sent to a request's `callback`; see openapi/CALLBACKS.md.",
        "tags": ["callbacks"],
        "parameters": [
            {"in": "header", "name": name, "required": True, "schema": {"type": "string"}}
            for name in headers
        ],
        "requestBody": {
            "required": True,
            "content": {JSON: {"schema": {"$ref": "#/components/schemas/CallbackBody"}}},
        },
        "responses": {
            "2XX": {"description": "It has arrived; any other answer makes it come again later"},
            "410": {"description": "It is not wanted, and does not come again"},
        },
    }


def _operation(rule: Rule, operation: Operation) -> dict[str, Any]:
    summary, _, text = operation.text.partition("\n\n")
    entry: dict[str, Any] = {
        "operationId": operation.id,
        "summary": summary,
        "tags": [operation.tag],
        "parameters": [
            {"in": "path", "name": name, "required": True, "schema": _path_type(converter)}
            for name, converter in rule._converters.items()  # noqa: SLF001 - werkzeug has no other
        ],
        "responses": {str(s): _answer(each) for s, each in operation.answers.items()},
    }
    entry["parameters"] += [
        {"in": "header", "name": name, "schema": dict(_HEADERS[name])} for name in operation.takes
    ]
    if text:
        entry["description"] = text
    # A key where one is required, or none at all.
    entry["security"] = [{}, {"key": []}] if operation.scope else []
    if operation.query is not None:
        entry["parameters"].append({"in": "query", "schema": operation.query})
    if operation.body is not None or operation.form is not None:
        entry["requestBody"] = {"required": True, "content": _content(operation)}
    if _is_validated(rule, operation):
        entry["responses"]["304"] = {"description": "The client has it, as If-None-Match states"}
    for status in _problem_statuses(rule, operation):
        entry["responses"].setdefault(str(status), "Problem")
    return entry


def _is_validated(rule: Rule, operation: Operation) -> bool:
    """Return whether answers have an entity tag, by which a client states what it has."""
    return (
        "GET" in (rule.methods or ())
        and rule.rule.startswith("/v1/")
        and _EVENTS not in operation.media_types
    )


def _problem_statuses(rule: Rule, operation: Operation) -> Iterable[int]:
    found = {*_ALWAYS, *operation.problems}
    if operation.body is not None or operation.form is not None:
        found |= set(_WITH_BODY)
    if any(each.schema or each.media for each in operation.answers.values()):
        found.add(406)
    if _is_validated(rule, operation):
        found.add(412)
    if operation.limited:
        found.add(429)
    if operation.scope:
        # Keys are looked up in the store, which may be unavailable.
        found |= {401, 503}
    if operation.scope in {"write", "admin"} or operation.body or operation.form:
        found.add(403)
    return sorted(found)


def _path_type(converter: object) -> Mapping[str, str | int]:
    return _PATH_TYPES[type(converter).__name__]


def _json_form(schema: type[Any] | tuple[type[Any], ...]) -> Any:  # noqa: ANN401 - a schema or JSON
    if isinstance(schema, tuple):
        return {"oneOf": [schema_of(each) for each in schema]}
    return schema_of(schema)


def _answer(answer: Answer) -> dict[str, Any]:
    content: dict[str, Any] = {}
    if answer.schema is not None:
        content["application/json"] = {"schema": _json_form(answer.schema)}
    for media_type in answer.other_media():
        whole = _WHOLE.get(media_type, _FILE)
        content[media_type] = {"schema": dict(whole)}
    entry: dict[str, Any] = {"description": answer.description}
    if content:
        entry["content"] = content
    if answer.links:
        entry["links"] = {
            name: {"operationId": name, "parameters": {answer.link_id: "$response.body#/id"}}
            for name in answer.links
        }
    if answer.headers:
        entry["headers"] = {
            name: {"description": text, "schema": {"type": "string"}}
            for name, text in answer.headers.items()
        }
    return entry


_FILE: dict[str, Any] = {"type": "string", "format": "binary"}
_WHOLE: dict[str, dict[str, Any]] = {
    "application/json": {"type": "object"},
    # The schema of each event's data, the JSON of a job.
    _EVENTS: {
        "type": "object",
        "properties": {
            "id": {"type": "string"},
            "event": {"type": "string", "enum": ["progress", "ended"]},
            "data": {
                "type": "string",
                "contentMediaType": JSON,
                "contentSchema": {"$ref": "#/components/schemas/JobAnswer"},
            },
        },
        "required": ["id", "event", "data"],
    },
}


def _content(operation: Operation) -> dict[str, Any]:
    """Return the request body of an operation by media type: JSON, and a form with a file."""
    content: dict[str, Any] = {}
    if operation.body is not None:
        content[JSON] = {"schema": operation.body}
    if operation.examples:
        content[JSON]["examples"] = {name: {"value": example(name)} for name in operation.examples}
    if operation.form is not None:
        content[FORM] = {"schema": operation.form}
    return content


def example(name: str) -> Any:  # noqa: ANN401 - JSON values
    """Return an example body from openapi/examples."""
    return json.loads((EXAMPLES / f"{name}.json").read_text(encoding="utf-8"))


def _exact(entry: dict[str, Any]) -> dict[str, Any]:
    """Add what schemas cannot express: a custom outline has exactly one member besides its kind."""
    custom = entry["components"]["schemas"].get("CustomShape")
    if custom is not None:
        custom |= {"minProperties": 2, "maxProperties": 2}
    for path in entry["paths"].values():
        for operation in path.values():
            form = operation.get("requestBody", {}).get("content", {}).get(FORM)
            if form is not None:
                name = form["schema"]["$ref"].rpartition("/")[2]
                fields = entry["components"]["schemas"][name]
                fields["properties"]["file"] = dict(_FILE)
                fields["required"] = [*fields.get("required", ()), "file"]
    return entry


def text(app: Flask) -> bytes:
    """Return the document's text as it is committed: indented, members in the order of creation."""
    entry = json.dumps(document(app), indent=2, ensure_ascii=False)
    return (entry + "\n").encode()
