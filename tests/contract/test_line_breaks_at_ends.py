"""A name ends where its pattern ends: a line break behind it is refused, not passed on."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from flask.testing import FlaskClient

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
    ],
)
def test_elsewhere(client: FlaskClient, path: str, body: Any) -> None:
    answer = client.post(path, json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)


@pytest.mark.parametrize("name", ["harbour%0A", "harbour%0D", "harbour%00", "Harbour", "-"])
def test_in_the_address_of_a_cutter(client: FlaskClient, name: str) -> None:
    body = {"tool": {"kind": "laser"}, "bed": {"width": "1 m", "height": "1 m"}}
    answer = client.put(f"/v1/cutters/{name}", json=body)
    assert answer.status_code in {404, 422}, answer.get_data(as_text=True)


def test_names_without_one_are_taken(client: FlaskClient) -> None:
    assert client.post("/v1/layouts", json=KIT).status_code == 200
