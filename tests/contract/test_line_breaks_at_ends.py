"""A name ends where its pattern ends: a line break behind it is refused, not passed on."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from marshmallow import fields, validate

from service.schemas.fields import Strict
from service.schemas.structures import Checked, Either, Keyed
from service.schemas.validation import Pattern

PIECE = {"id": "A", "shape": {"kind": "square", "side": "1 in"}}
KIT: dict[str, Any] = {
    "title": "Slipway",
    "pieces": [{**PIECE, "label": "B1"}],
    "runs": [{"cut": "patch", "cutter": "pen-sheet", "material": {"name": "cotton"}}],
}


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n", "\x00", "\u007f"], ids=repr)
@pytest.mark.parametrize(
    "path",
    [
        ("title",),
        ("pieces", 0, "id"),
        ("pieces", 0, "label"),
        ("pieces", 0, "shape", "kind"),
        ("runs", 0, "cutter"),
        ("runs", 0, "cut"),
        ("runs", 0, "material", "name"),
    ],
    ids=lambda path: "/".join(map(str, path)),
)
def test_in_a_kit(client: FlaskClient, path: tuple[Any, ...], end: str) -> None:
    body = copy.deepcopy(KIT)
    at: Any = body
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] += end
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422
    pointers = [each["pointer"] for each in answer.get_json()["errors"]]
    assert "#/" + "/".join(map(str, path)) in pointers


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/v1/batches", {"request": KIT, "pieces": ["A\n"]}),
        ("/v1/batches", {"request": KIT, "cutters": ["laser-bed\n"]}),
        ("/v1/batches", {"request": KIT, "sizes": [{"side\n": "1 in"}]}),
        ("/v1/batches", {"request": KIT, "title": "A\n"}),
        ("/v1/outlines", {"pieces": [{**PIECE, "corners": {"overrides": {"0\n": {}}}}]}),
        ("/v1/kits/00000000-0000-4000-8000-000000000000/recuts", {"run": 1, "pieces": {"A\n": 1}}),
        ("/v1/quilt-plans", {"tiling": "hexagons", "quilt": {}, "cutter": "laser-bed\n"}),
        ("/v1/kits", {**KIT, "reference": "ORDER 7\n"}),
        ("/v1/kits", {**KIT, "prices": "quay\n"}),
        ("/v1/blocks", {"block": "churn-dash\n"}),
    ],
)
def test_elsewhere(client: FlaskClient, path: str, body: Any) -> None:
    answer = client.post(path, json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)


SAVED = {
    "cutters": {"tool": {"kind": "laser"}, "bed": {"width": "1 m", "height": "1 m"}},
    "price-lists": {"currency": "EUR"},
    "blocks": {"units": "mm", "paths": [{"points": [[0, 0], [90, 0], [0, 90]], "closed": True}]},
}


@pytest.mark.parametrize("name", ["harbour%0A", "harbour%0D", "harbour%00", "Harbour", "-"])
@pytest.mark.parametrize("what", SAVED)
def test_in_the_address_of_what_is_saved(client: FlaskClient, what: str, name: str) -> None:
    answer = client.put(f"/v1/{what}/{name}", json=SAVED[what])
    assert answer.status_code in {404, 422}, answer.get_data(as_text=True)
    assert client.put(f"/v1/{what}/harbour", json=SAVED[what]).status_code in {200, 201}


#: Texts of no pattern: names that are looked up. (A picture's query has numbers as text.)
LOOKED_UP = {
    ("RunSchema", "formats"), ("InspectionFormSchema", "cutter"),
    ("DrawnBlockFormSchema", "group"), ("InspectionFormSchema", "group"),
    # Marks of pages, numbers of kits and paths are parsed.
    ("ListQuerySchema", "after"), ("KitQuerySchema", "after"), ("BatchQuerySchema", "after"),
    ("KitQuerySchema", "number"), ("BatchQuerySchema", "number"), ("CustomShapeSchema", "path"),
    # As it was stored.
    ("StoredRunSchema", "title"),
}  # fmt: skip


def _schemas(of: type[Strict] = Strict) -> Iterator[type[Strict]]:
    for each in of.__subclasses__():
        yield each
        yield from _schemas(each)


def _texts(field: Any) -> Iterator[fields.String]:
    """Yield the fields of texts within a field; every schema is looked at by itself."""
    if isinstance(field, Keyed):
        yield from _texts(field.values)
    elif isinstance(field, Either):
        for _, option in field.options:
            yield from _texts(option)
    elif isinstance(field, fields.List | Checked):
        yield from _texts(field.inner)
    elif isinstance(field, fields.String):
        yield field


def test_every_text_has_a_pattern_that_ends_where_it_ends(app: Flask) -> None:
    """Whatever is added to a request: text is one of some words, or matched to its very end."""
    assert app
    free, found = set(), 0
    for schema in set(_schemas()):
        for name, field in schema._declared_fields.items():
            for text in _texts(field):
                checks = text.validators
                patterns = [each for each in checks if isinstance(each, validate.Regexp)]
                assert all(isinstance(each, Pattern) for each in patterns), (schema, name)
                # The document has it, and JSON Schema finds a pattern anywhere in a text.
                stated = [str(each.regex.pattern) for each in patterns]
                assert all(re.fullmatch(r"\^.*\$", each) for each in stated), (schema, name)
                found += 1
                words = [
                    each for each in checks if isinstance(each, validate.OneOf | validate.Equal)
                ]
                if not patterns and not words and schema.__name__ != "PictureQuery":
                    free.add((schema.__name__, name))
    assert found > 50
    assert free == LOOKED_UP


def test_names_without_one_are_taken(client: FlaskClient) -> None:
    assert client.post("/v1/layouts", json=KIT).status_code == 200
