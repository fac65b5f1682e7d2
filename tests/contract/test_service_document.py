"""The document is what the code does: valid, committed, and true of real answers."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openapi_spec_validator
import pytest
from flask import Flask
from flask.testing import FlaskClient
from openapi_spec_validator.validation.exceptions import OpenAPIValidationError

from service.cli import main
from service.http import openapi as spec
from service.http.problem_types import BY_STATUS, TYPES, markdown

ROOT = Path(__file__).resolve().parents[2]


def test_the_document_is_valid(document: dict[str, Any]) -> None:
    openapi_spec_validator.validate(document)
    broken = {**document, "paths": {"/v1/kits": {"get": {"responses": []}}}}
    with pytest.raises(OpenAPIValidationError):
        openapi_spec_validator.validate(broken)


def test_the_committed_document_is_the_generated_one(app: Flask) -> None:
    committed = (ROOT / "openapi" / "openapi.json").read_bytes()
    assert committed == spec.text(app), "run: python -m service openapi > openapi/openapi.json"


def test_the_committed_problems_are_the_generated_ones() -> None:
    committed = (ROOT / "openapi" / "problems.md").read_text(encoding="utf-8")
    assert committed == markdown(), "run: python -m service problems > openapi/problems.md"
    assert re.findall(r"^## (.+)$", committed, re.MULTILINE) == list(TYPES)


def test_commands_print_what_is_committed(capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    for command, name in ((["openapi"], "openapi.json"), (["problems"], "problems.md")):
        assert main(command) == 0
        assert capsysbinary.readouterr().out == (ROOT / "openapi" / name).read_bytes()


def test_statuses_have_types_of_that_status() -> None:
    assert all(TYPES[slug].status == status for status, slug in BY_STATUS.items())


def test_every_view_is_documented(app: Flask, document: dict[str, Any]) -> None:
    rules = {
        re.sub(r"<(?:[^:<>]+:)?([^<>]+)>", r"{\1}", each.rule) for each in app.url_map.iter_rules()
    }
    assert set(document["paths"]) == rules


def test_operation_ids_are_unique_and_in_camel_case(document: dict[str, Any]) -> None:
    ids = [each["operationId"] for path in document["paths"].values() for each in path.values()]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[a-z]+([A-Z][a-z]+)+", each) for each in ids)


def test_unknown_members_are_refused_by_every_schema_of_a_request(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    seen: set[str] = set()

    def walk(value: Any) -> None:
        if isinstance(value, dict):
            name = str(value.get("$ref", "")).removeprefix("#/components/schemas/")
            if name and name not in seen:
                seen.add(name)
                walk(schemas[name])
            for each in value.values():
                walk(each)
        elif isinstance(value, list):
            for each in value:
                walk(each)

    for path in document["paths"].values():
        for operation in path.values():
            walk(operation.get("requestBody", {}))
    objects = {name for name in seen if "properties" in schemas[name]}
    assert len(objects) > 40
    assert [
        name for name in sorted(objects) if schemas[name].get("additionalProperties") is not False
    ] == []


ANSWERS = [
    ("/v1/shapes", "ShapeList"),
    ("/v1/shapes/kite", "ShapeAnswer"),
    ("/v1/formats", "FormatList"),
    ("/v1/cutters", "CutterList"),
    ("/v1/cutters/laser-bed", "CutterAnswer"),
    ("/v1/kits", "KitList"),
    ("/healthz", "Health"),
    ("/readyz", "Readiness"),
]


@pytest.mark.parametrize(("path", "component"), ANSWERS)
def test_an_answer_is_as_documented(
    client: FlaskClient, fits: Callable[[Any, str], None], path: str, component: str
) -> None:
    fits(client.get(path).get_json(), component)


def _operations(document: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (method, path, operation)
        for path, operations in document["paths"].items()
        for method, operation in operations.items()
    ]


def test_every_example_runs_and_its_answer_is_as_documented(
    client: FlaskClient, document: dict[str, Any], fits: Callable[[Any, str], None]
) -> None:
    ran: set[str] = set()
    for method, path, operation in _operations(document):
        content = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
        for name, example in content.get("examples", {}).items():
            ran.add(name)
            address = path.replace("{name}", "harbour-hoop")
            body = dict(example["value"])
            # As they stand they are made in test_examples.py.
            if "runs" in body:
                body["pieces"] = [
                    {**piece, "quantity": min(piece["quantity"], 2)} for piece in body["pieces"]
                ]
                body["runs"] = [{**run, "effort": "quick"} for run in body["runs"]]
            answer = client.open(address, method=method.upper(), json=body)
            assert answer.status_code in {200, 201, 202}, answer.get_data(as_text=True)
            schema = operation["responses"][str(answer.status_code)]["content"]["application/json"]
            fits(answer.get_json(), schema["schema"]["$ref"].rsplit("/", 1)[-1])
    committed = {path.stem for path in (ROOT / "openapi" / "examples").glob("*.json")}
    assert ran == committed


def test_examples_fit_the_document_too(
    document: dict[str, Any], fits: Callable[[Any, str], None]
) -> None:
    for _, _, operation in _operations(document):
        content = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
        for example in content.get("examples", {}).values():
            fits(example["value"], content["schema"]["$ref"].rsplit("/", 1)[-1])


def test_every_shape_of_the_catalogue_can_be_asked_for_and_drawn(client: FlaskClient) -> None:
    for each in client.get("/v1/shapes").get_json()["shapes"]:
        body = {"pieces": [{"id": "A", "shape": each["example"]}]}
        answer = client.post("/v1/outlines", json=body)
        assert answer.status_code == 200, (each["kind"], answer.get_data(as_text=True))
        picture = client.get(each["picture"])
        assert picture.status_code == 200
        assert picture.content_type == "image/svg+xml; charset=utf-8"


def test_the_document_says_when_it_has_not_changed(client: FlaskClient) -> None:
    tag = client.get("/openapi.json").headers["ETag"]
    assert client.get("/openapi.json", headers={"If-None-Match": tag}).status_code == 304


def test_the_committed_document_is_json_with_unix_lines() -> None:
    raw = (ROOT / "openapi" / "openapi.json").read_bytes()
    assert b"\r" not in raw
    assert json.loads(raw)["openapi"] == "3.1.0"


def test_no_type_of_problem_is_stated_twice() -> None:
    folder = ROOT / "service" / "http"
    names = ("http_problems", "request_problems", "service_problems")
    text = "".join((folder / f"{name}.py").read_text(encoding="utf-8") for name in names)
    slugs = re.findall(r'^    \(\n        "([a-z0-9-]+)",$', text, re.MULTILINE)
    assert slugs == list(TYPES)
