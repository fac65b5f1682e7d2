"""A short body has a bound, too: what it names counts as long as it is, and beds are measured."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.http import body as bodies
from service.http.problems import ProblemError
from service.sandbox.tasks import task_of
from tests.property import hostile_bodies


def _send(client: FlaskClient, path: str, body: bytes) -> Any:
    return client.post(path, data=body, content_type="application/json")


def test_many_names_of_price_lists_are_looked_up_together(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    lists = app.extensions["quarterseam-store"]().price_lists
    reads: list[str] = []
    one, every = lists.document, lists.all

    def read_one(*keys: Any) -> Any:
        reads.append("one")
        return one(*keys)

    def read_all(*keys: Any) -> Any:
        reads.append("all")
        return every(*keys)

    monkeypatch.setattr(lists, "document", read_one)
    monkeypatch.setattr(lists, "all", read_all)
    body = {"requests": [{"prices": f"quay-{k}"} for k in range(2000)]}
    answer = _send(app.test_client(), "/v1/batches", json.dumps(body).encode())
    assert answer.status_code == 422
    assert reads.count("all") == 1
    assert len(reads) < 10
    # More than any batch has kits: none is looked up.
    reads.clear()
    body["requests"] = [{"prices": "quay"}] * 2001
    assert _send(app.test_client(), "/v1/batches", json.dumps(body).encode()).status_code == 422
    assert reads == []


#: Of 30 kB: every table full, with long names.
LIST = {
    "currency": "EUR",
    "materials": [{"name": f"{k} {'sail' * 15}", "per_sheet": "1.50"} for k in range(100)],
    "consumables": [
        {"name": f"{k} {'pin ' * 15}.", "price": "1.50", "per": "copy"} for k in range(100)
    ],
}
#: A grid of 30 by 30 squares, each of its lines in pieces.
BLOCK = {
    "units": "mm",
    "paths": [
        {"points": [[at, step * 10.0], [at + 10.0, step * 10.0]]}
        if is_across
        else {"points": [[step * 10.0, at], [step * 10.0, at + 10.0]]}
        for is_across in (True, False)
        for step in range(31)
        for at in range(0, 300, 10)
    ],
}
BED = {
    "width": "1 m",
    "height": "1 m",
    "shape": "polygon",
    "points": [
        [500 + 450 * math.cos(turn), 500 + 450 * math.sin(turn)]
        for turn in (math.tau * step / 500 for step in range(500))
    ],
}


@pytest.mark.parametrize(
    ("path", "document", "body"),
    [
        ("/v1/price-lists/quay", LIST, {"requests": [{"prices": "quay"}] * 40}),
        pytest.param(
            "/v1/blocks/quay", BLOCK, {"block": "quay", "units": "in"}, marks=pytest.mark.long
        ),
        ("/v1/blocks/quay", BLOCK, {"block": {"name": "quay", "size": "9 in"}}),
        (
            "/v1/cutters/quay",
            {"units": "mm", "tool": {"kind": "laser"}, "bed": BED},
            {
                "pieces": [hostile_bodies.PIECE],
                "runs": [{"cut": "patch", "cutter": "quay"}] * 30,
            },
        ),
    ],
    ids=["price list", "block", "block of a plan", "cutter"],
)
def test_a_body_is_as_long_as_what_it_names(
    app: Flask, monkeypatch: pytest.MonkeyPatch, path: str, document: Any, body: Any
) -> None:
    """Forty bytes that name a stored document of a hundred kilobytes are checked in a child."""
    client = app.test_client()
    assert client.put(path, json=document).status_code in {200, 201}
    asked: list[str] = []

    def compute(task: str, *arguments: Any) -> Any:
        asked.append(task)
        return task_of(task, app.config["SETTINGS"])(1.0, *arguments)

    monkeypatch.setattr(bodies, "compute", compute)
    member = next(iter(body))
    target = {"requests": "/v1/batches", "pieces": "/v1/layouts"}.get(member, "/v1/blocks")
    if isinstance(body.get("block"), dict):
        target = "/v1/quilt-plans"
        body = {**body, "quilt": {"width": "36 in", "length": "36 in"}}
    answer = _send(client, target, json.dumps(body).encode())
    assert answer.status_code in {200, 422}, answer.get_data(as_text=True)
    assert asked == ["checked_body"]
    # A short one is checked where it is.
    client.delete(path)
    _send(client, target, json.dumps(body).encode())
    assert asked == ["checked_body"]


def _ellipse(width: int) -> dict[str, Any]:
    """Return a cutter whose bed takes long to measure: an ellipse, and a head of unequal sides."""
    return {
        "units": "mm",
        "tool": {"kind": "pen"},
        "bed": {"width": width, "height": 300, "shape": "ellipse"},
        "margins": {"left": 1, "right": 9, "top": 30, "bottom": 4},
    }


@pytest.mark.parametrize("how", ["runs", "requests", "cutters", "named"])
def test_several_shaped_beds_are_measured_in_a_child(
    app: Flask, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    """Ten kilobytes that describe fifty ellipses took eleven seconds of a server's thread."""

    def body(count: int) -> tuple[str, Any]:
        chosen = [_ellipse(width) for width in range(900, 900 + count)]
        kit: dict[str, Any] = {"pieces": [hostile_bodies.PIECE]}
        runs: list[Any] = [{"cut": "patch", "cutter": each} for each in chosen]
        plain = {**kit, "runs": [{"cut": "patch", "cutter": "pen-sheet"}]}
        found: dict[str, tuple[str, Any]] = {
            "runs": ("/v1/layouts", {**kit, "runs": runs}),
            "requests": ("/v1/batches", {"requests": [{**kit, "runs": [run]} for run in runs]}),
            "cutters": ("/v1/batches", {"request": plain, "cutters": chosen}),
            "named": (
                "/v1/layouts",
                {**kit, "runs": [{"cut": "patch", "cutter": "oval"}] * count},
            ),
        }
        return found[how]

    asked: list[str] = []

    def compute(task: str, *_: Any) -> Any:
        asked.append(task)
        raise ProblemError("busy", 503, "No child is started here.")

    client = app.test_client()
    assert client.put("/v1/cutters/oval", json=_ellipse(990)).status_code in {200, 201}
    monkeypatch.setattr(bodies, "compute", compute)
    for view in ("outlines", "batches"):
        monkeypatch.setattr(f"service.views.{view}.compute", lambda *_, **__: [])
    path, document = body(2)
    assert _send(client, path, json.dumps(document).encode()).status_code == 503
    assert asked == ["checked_body"]
    # A single one is measured where it is.
    path, document = body(1)
    _send(client, path, json.dumps(document).encode())
    assert asked == ["checked_body"]


def test_price_lists_of_a_batch_are_bounded_together(client: FlaskClient) -> None:
    assert client.put("/v1/price-lists/quay", json=LIST).status_code in {200, 201}
    kit = {"pieces": [hostile_bodies.PIECE], "runs": [hostile_bodies.RUN], "prices": "quay"}
    answer = _send(client, "/v1/batches", json.dumps({"requests": [kit] * 1000}).encode())
    assert answer.status_code == 422
    (error,) = answer.get_json()["errors"]
    assert error["pointer"] == "#/requests"
    assert "more than 16 MiB together" in error["detail"]
