"""Checking a request has a bound: lengths before elements, no more errors than are reported."""

from __future__ import annotations

import cProfile
import json
import tracemalloc
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.errors import MAX_FAULTS
from service.http import body as bodies
from service.sandbox.tasks import task_of
from service.schemas import validation
from service.settings import Settings
from tests.property import hostile_bodies
from tests.short_form import short_form

#: Values looked at in a body of that size, many times fewer than it has characters.
MAX_ELEMENTS = 5_000
#: Errors of each list on the way down, and the one list that is full.
MAX_COLLECTED = 8 * validation.MAX_ERRORS
SIZE = 20_000
#: The largest body that is read, as set by default, and what it may cost the server's process: 50
#: MiB, and the calls of half a second. Own measurement: the most that any makes, 445,000 for a
#: batch of 10,000 kits that is accepted, take 0.25 s; counting them depends on no clock.
MEBIBYTE = 1 << 20
MAX_BYTES = 50 << 20
MAX_CALLS = 500_000


def _send(client: FlaskClient, path: str, body: bytes) -> Any:
    method = hostile_bodies.method(path)
    return client.open(path, method=method, data=body, content_type="application/json")


def test_every_operation_with_a_body_is_tried(document: dict[str, Any]) -> None:
    """A new operation that takes a body has to be added to the hostile ones."""
    found: dict[str, set[tuple[str, str]]] = {}
    for path, operations in document["paths"].items():
        # As the hostile bodies write them.
        named = path.replace("{name}", "harbour").replace("{kit_id}", hostile_bodies.KIT_ID)
        for method, operation in operations.items():
            for kind in operation.get("requestBody", {}).get("content", ()):
                found.setdefault(kind, set()).add((named, method.upper()))
    tried = {(path, hostile_bodies.method(path)) for path in hostile_bodies.ENDPOINTS}
    assert found.pop("application/json") == tried
    forms = {(path, "POST") for path in hostile_bodies.FORM_ENDPOINTS}
    assert found.pop("multipart/form-data") == forms
    assert not found


@pytest.mark.parametrize("path", hostile_bodies.ENDPOINTS)
def test_no_body_is_much_work_whatever_is_in_it(client: FlaskClient, path: str) -> None:
    for where, name, body in hostile_bodies.whole_bodies(SIZE):
        if where != path:
            continue
        with validation.counted() as work:
            answer = _send(client, path, body)
        assert 200 <= answer.status_code < 500, (name, answer.get_data(as_text=True)[:300])
        assert len(answer.get_json().get("errors", ())) <= MAX_FAULTS
        assert len(answer.data) < 40_000, name
        assert work.elements <= MAX_ELEMENTS, (name, work)
        assert work.errors <= MAX_COLLECTED, (name, work)


def test_a_list_that_is_too_long_is_not_looked_into(client: FlaskClient) -> None:
    body = b'{"pieces":[' + b"{}," * 15_000 + b"{}]}"
    with validation.counted() as work:
        answer = _send(client, "/v1/outlines", body)
    assert work.elements == 0
    assert answer.get_json()["errors"] == [
        {"pointer": "#/pieces", "detail": "Must be a list of 1 to 200; it has 15001."}
    ]


def test_checking_stops_at_enough_errors_and_says_so(client: FlaskClient) -> None:
    with validation.counted() as work:
        answer = _send(client, "/v1/outlines", json.dumps({"pieces": [{}] * 200}).encode())
    payload = answer.get_json()
    assert work.elements == (validation.MAX_ERRORS + 1) // 2
    assert len(payload["errors"]) == MAX_FAULTS
    assert payload["detail"] == "More than 50 faults found; errors lists the first 50."


@pytest.mark.parametrize(
    "body",
    [
        {f"x{k}": 0 for k in range(5000)},
        {"pieces": [{f"x{k}": 0 for k in range(5000)}]},
        {"pieces": [{"id": "A", "shape": {"kind": "custom", "points": ["?"] * 5000}}]},
        {
            "pieces": [
                {
                    "id": "A",
                    "shape": {"kind": "square", "side": 1},
                    "corners": {"overrides": {str(k): {"kind": "?"} for k in range(2000)}},
                }
            ]
        },
    ],
    ids=["members", "members of an element", "points", "keys"],
)
def test_objects_and_points_stop_too(client: FlaskClient, body: Any) -> None:
    with validation.counted() as work:
        answer = _send(client, "/v1/outlines", json.dumps(body).encode())
    assert answer.status_code == 422
    assert "More than 50 faults found" in answer.get_json()["detail"]
    assert work.elements <= 2 * validation.MAX_ERRORS


def test_as_many_errors_as_are_reported_are_all_of_them(client: FlaskClient) -> None:
    piece = {"id": "?", "shape": {"kind": "square", "side": 1}}
    body = {"units": "in", "pieces": [piece] * MAX_FAULTS}
    payload = _send(client, "/v1/outlines", json.dumps(body).encode()).get_json()
    assert len(payload["errors"]) == MAX_FAULTS
    assert payload["detail"] == "50 faults found; see errors."


def test_a_long_name_is_not_repeated(client: FlaskClient) -> None:
    answer = _send(client, "/v1/outlines", json.dumps({"x" * 50_000: 1}).encode())
    assert answer.status_code == 422
    assert len(answer.data) < 2000


def test_a_large_body_is_checked_in_a_child(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def compute(task: str, *arguments: Any) -> Any:
        asked.append(task)
        return task_of(task, app.config["SETTINGS"])(1.0, *arguments)

    monkeypatch.setattr(bodies, "compute", compute)
    client = app.test_client()
    piece = {"id": "A", "shape": {"kind": "square", "side": "1 in"}}
    raw = json.dumps({"pieces": [piece]}).encode()
    for length, places in ((bodies.MAX_BYTES_CHECKED_HERE, 0), (70_000, 1)):
        answer = _send(client, "/v1/outlines", raw.ljust(length))
        assert answer.status_code == 200, answer.get_data(as_text=True)
        assert len(asked) == places
    assert asked == ["checked_body"]
    assert _send(client, "/v1/outlines", b"{}".ljust(70_000)).status_code == 422
    assert _send(client, "/v1/outlines", b"{]".ljust(70_000)).status_code == 400


def test_sizes_by_shapes_are_not_checked_in_a_thread(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def compute(task: str, *arguments: Any) -> Any:
        asked.append(task)
        return task_of(task, app.config["SETTINGS"])(1.0, *arguments)

    monkeypatch.setattr("service.views.batches.compute", compute)
    piece = {"shape": {"kind": "square", "side": "1 in"}}
    for pieces, sizes in ((4, 5), (100, 20)):
        request = {
            "pieces": [piece | {"id": f"P{k}"} for k in range(pieces)],
            "runs": [hostile_bodies.RUN],
        }
        body = {"request": request, "sizes": [{"width": "1 in"}] * sizes}
        with validation.counted() as work:
            answer = _send(app.test_client(), "/v1/batches", json.dumps(body).encode())
        assert answer.status_code == 422
        assert asked.pop() == "batch_values"
        assert work.elements <= pieces + sizes * 2 + 1 + validation.MAX_ERRORS


def test_many_names_of_cutters_are_looked_up_together(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    cutters = app.extensions["quarterseam-store"]().cutters
    reads: list[str] = []
    every = cutters.all

    def read_all(*keys: Any) -> Any:
        reads.append("all")
        return every(*keys)

    monkeypatch.setattr(cutters, "all", read_all)
    monkeypatch.setattr(cutters, "get", reads.append)
    request = {"pieces": [hostile_bodies.PIECE], "runs": [hostile_bodies.RUN]}
    body = {"request": request, "cutters": [f"mast-{k}" for k in range(2000)]}
    answer = _send(app.test_client(), "/v1/batches", json.dumps(body).encode())
    assert answer.status_code == 422
    assert reads == ["all"]


@pytest.fixture(scope="module")
def roomy(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    """A service with the usual limits: bodies of a mebibyte are read."""
    data = tmp_path_factory.mktemp("roomy")
    app = create_app(Settings(data=data, compute_seconds=600, jobs_waiting_per_key=20_000))
    yield app.test_client()
    app.extensions["quarterseam-store"]().close()


def _mebibytes(path: str) -> Iterator[tuple[str, bytes]]:
    """Yield bodies of a mebibyte: what the trial sent, and those that fit the schemas."""
    empty = next(
        shape for name, shape in hostile_bodies.shapes() if name == "list of empty objects"
    )
    size = MEBIBYTE - 200
    for member in ("", hostile_bodies.ENDPOINTS[path][0]):
        yield f"{member}: empty objects", hostile_bodies.body(empty, member, size)
    for where, name, body in hostile_bodies.usable_bodies(size):
        if where == path:
            yield name, body


#: Kits of every kind of member, plans, what is saved; that no route looks at more than it has to is
#: seen of all above, with shorter bodies.
MEBIBYTES = {"/v1/kits", "/v1/quilt-plans"}


@pytest.mark.in_child
@pytest.mark.parametrize("path", short_form(hostile_bodies.ENDPOINTS, MEBIBYTES))
def test_a_mebibyte_costs_the_server_little(roomy: FlaskClient, path: str) -> None:
    _send(roomy, path, b"{}".ljust(70_000))  # what is imported and connected once
    for name, body in _mebibytes(path):
        _check_cost(name, partial(_send, roomy, path, body))


@pytest.mark.in_child
@pytest.mark.parametrize("path", short_form(hostile_bodies.FORM_ENDPOINTS, {"/v1/blocks"}))
def test_a_form_of_a_mebibyte_costs_the_server_little(roomy: FlaskClient, path: str) -> None:
    form = f"multipart/form-data; boundary={hostile_bodies.BOUNDARY}"
    for name, body in hostile_bodies.forms(MEBIBYTE - 200):
        _check_cost(name, partial(roomy.post, path, data=body, content_type=form))


def _check_cost(name: str, send: Callable[[], Any]) -> None:
    """Check what an answer costs the server's own process."""
    profile = cProfile.Profile()
    tracemalloc.start()
    try:
        answer = profile.runcall(send)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert 200 <= answer.status_code < 500, (name, answer.get_data(as_text=True)[:300])
    calls = sum(each.callcount for each in profile.getstats())
    assert calls <= MAX_CALLS, (name, calls)
    assert peak <= MAX_BYTES, (name, peak)
