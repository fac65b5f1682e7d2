"""Errors of types and bounds say what would be right, and never speak of a list's "length"."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.requests.kits import KitRequestSchema
from service.schemas.loading import load_all

KIT = json.loads(Path("openapi/examples/harbour-class-set.json").read_text())
WRONG: tuple[Any, ...] = (None, True, -1, "zz", [], {}, [[]], {"a": 1})
#: Words of the schema library that leave the reader to guess, or mean something else here.
NOT_SAID = ("Not a valid", "Not an object", "Invalid", "null.", "Length must", "than or equal")


def _places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if path:
        yield path
    if not isinstance(value, (dict, list)):
        return
    for key, each in value.items() if isinstance(value, dict) else enumerate(value):
        yield from _places(each, (*path, key))


def _loaded(body: Any) -> list[str]:
    _, found = load_all(KitRequestSchema(), body)
    return [each.fault.detail for each in found]


def _details(client: FlaskClient, body: Any) -> list[str]:
    return [each["detail"] for each in client.post("/v1/layouts", json=body).get_json()["errors"]]


def test_no_wrong_value_gets_the_library_s_words() -> None:
    found: set[str] = set()
    for path in _places(KIT):
        for wrong in WRONG:
            body = copy.deepcopy(KIT)
            at = body
            for key in path[:-1]:
                at = at[key]
            at[path[-1]] = wrong
            found.update(_loaded(body))
    assert len(found) > 30
    assert [each for each in found if any(words in each for words in NOT_SAID)] == []


@pytest.mark.parametrize(
    ("change", "detail"),
    [
        ({"title": 3}, "Must be text, in quotation marks."),
        ({"title": "x" * 500}, "Must have 0 to 120 characters."),
        ({"runs": {}}, "Must be a list, in square brackets."),
        ({"runs": []}, "Must be a list of 1 to 50; it has 0."),
        ({"runs": [3]}, "Must be an object, in braces."),
        ({"title": None}, "Leave this out, or state a value: null is none."),
    ],
)
def test_the_words(client: FlaskClient, change: dict[str, Any], detail: str) -> None:
    assert detail in _details(client, KIT | change)


def test_a_stock_with_an_error_counts_as_stated(client: FlaskClient) -> None:
    """What stands beside it is not said to lack it."""
    stock = [{"name": "left", "outline": {"points": []}}]
    body = copy.deepcopy(KIT)
    body["runs"] = body["runs"][:1]
    body["runs"][0]["material"] |= {"stock": stock, "stock_order": "oldest_first"}
    found = _details(client, body)
    assert "Must be a list, in square brackets." in found
    assert not any("State the `stock`" in each for each in found)
