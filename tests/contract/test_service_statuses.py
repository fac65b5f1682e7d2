"""Every status in the document is produced, and no other one is."""

from __future__ import annotations

import copy
import functools
import io
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import create_engine
from werkzeug.test import TestResponse

from service.app import create_app
from service.http import openapi as spec
from service.settings import Settings
from service.storage.idempotency_keys import RunningError
from service.storage.tables import JOBS

#: Refused by the server before the application is asked; tests/live produces them.
BY_THE_SERVER = {"408", "414", "431"}
FORM = "multipart/form-data"
SQUARE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">'
    b'<path d="M5 5H45V45H5Z"/></svg>'
)
ASYNC = {"Prefer": "respond-async"}
#: These honour an Idempotency-Key where they are made in the background.
AS_JOBS_ONLY = {"/v1/layouts", "/v1/quilt-plans"}
NO_KIT = "11111111-1111-4111-8111-111111111111"


class World:
    """A service with a kit and a cutter in it, and how to call each operation well."""

    def __init__(self, folder: Path, kit: dict[str, Any], do_jobs: Callable[[Flask], int]) -> None:
        self._folder = folder
        self._made: list[Flask] = []
        self.kit = kit
        self.app = self.make()
        self.document = spec.document(self.app)
        client = self.app.test_client()
        self.cutter = client.get("/v1/cutters/laser-bed").get_json()["cutter"]
        client.put("/v1/cutters/mine", json=self.cutter)
        client.put("/v1/price-lists/harbour", json=spec.example("harbour-prices"))
        client.put("/v1/blocks/quay", json={"block": "pinwheel"})
        made = client.post("/v1/kits", json=kit).get_json()
        self.path = {"kit_id": made["id"], "name": "run-sheet.pdf", "kind": "kite"}
        # A job and a batch that have ended, and ones that wait.
        self.path |= {"job_id": self.job(), "batch_id": self.batch()}
        do_jobs(self.app)
        self.waiting = {"job_id": self.job(), "batch_id": self.batch()}

    def job(self) -> str:
        asked = self.app.test_client().post("/v1/layouts", json=self.kit, headers=ASYNC)
        return str(asked.get_json()["id"])

    def batch(self) -> str:
        asked = self.app.test_client().post("/v1/batches", json={"requests": [self.kit]})
        return str(asked.get_json()["id"])

    def make(self, **settings: Any) -> Flask:
        self._made.append(create_app(Settings(data=self._folder, **settings)))
        return self._made[-1]

    @functools.cache  # noqa: B019 - a world ends with its test
    def shared(self, **settings: Any) -> Flask:
        """Return a service with these settings, the same at every call."""
        return self.make(**settings)

    @functools.cache  # noqa: B019 - as above
    def broken(self) -> Flask:
        """Return a service that fails at every request, the same at every call."""
        app = self.make()

        def boom() -> None:
            raise RuntimeError

        app.before_request(boom)
        return app

    def close(self) -> None:
        for app in self._made:
            app.extensions["quarterseam-store"]().close()

    def operations(self) -> Iterator[tuple[str, str, dict[str, Any]]]:
        for path, operations in self.document["paths"].items():
            for method, operation in operations.items():
                yield path, method, operation

    def call(
        self,
        path: str,
        method: str,
        operation: dict[str, Any],
        *,
        app: Flask | None = None,
        query: str = "",
        **options: Any,
    ) -> TestResponse:
        """Call an operation as it should be called, but for what the options change."""
        values = {**self.path, **options.pop("path_values", {})}
        if "cutter" in path:
            values.setdefault("cutter", "mine")
            values["name"] = values["cutter"]
        if "price-lists" in path:
            values["name"] = values.get("price_list", "harbour")
        if "blocks" in path:
            values["name"] = values.get("block", "quay")
        if path.startswith("/page"):
            values["name"] = values.get("asset", "main.js")
        if path.startswith("/docs"):
            values["name"] = values.get("asset", "start.js")
        address = re.sub(r"{([a-z_]+)}", lambda match: values[match[1]], path)
        if "requestBody" in operation and not {"json", "data"} & set(options):
            if FORM in operation["requestBody"]["content"]:
                options["data"] = {"file": (io.BytesIO(SQUARE), "square.svg")}
                options["content_type"] = FORM
            else:
                options["json"] = self.body(path, operation)
        client = (app or self.app).test_client()
        # Read whole, so that what is sent part by part is over.
        return client.open(address + query, method=method.upper(), buffered=True, **options)

    def body(self, path: str, operation: dict[str, Any]) -> Any:
        if path.endswith("/recuts"):
            return {"run": 1, "pieces": {"A": 1}}
        if path.endswith("/links"):
            return {"file": "run-sheet.pdf"}
        content = operation["requestBody"]["content"]["application/json"]
        examples = list(content.get("examples", {}).values())
        return copy.deepcopy(self.kit if path == "/v1/kits" else examples[0]["value"])


@pytest.fixture
def world(tmp_path: Path, do_jobs: Callable[[Flask], int]) -> Iterator[World]:
    kit = {
        "pieces": [{"id": "A", "shape": {"kind": "kite", "side": "1 in"}, "quantity": 2}],
        "runs": [{"cut": "template", "cutter": "laser-bed", "material": {"kind": "card"}}],
    }
    made = World(tmp_path / "data", kit, do_jobs)
    yield made
    made.close()


def _bearer(app: Flask, scope: str) -> dict[str, str]:
    key = app.extensions["quarterseam-store"]().keys.add("x", scope)
    return {"Authorization": f"Bearer {key}"}


def _forbidden(world: World, *where: Any) -> TestResponse:
    if where[1] != "get":
        return world.call(*where, headers={"Sec-Fetch-Site": "cross-site"})
    app = world.shared(auth="on")
    if where[2]["operationId"] == "getKitFile":
        return world.call(*where, app=app, query="?signature=0")
    return world.call(*where, app=app, headers=_bearer(app, "read"))


def _too_often(world: World, *where: Any) -> TestResponse:
    app = world.shared(rate_per_minute=1, workers=1)
    app.test_client().get("/v1/shapes/kite")
    return world.call(*where, app=app)


def _broken(world: World, *where: Any) -> TestResponse:
    return world.call(*where, app=world.broken())


def _not_there(world: World, *where: Any) -> TestResponse:
    if where[0] in {"/v1/kits", "/v1/batches", *AS_JOBS_ONLY}:
        # The kit of this key was deleted.
        return _with_claim(world, lambda *_: NO_KIT, *where)
    nobody = {
        "kit_id": NO_KIT,
        "job_id": NO_KIT,
        "batch_id": NO_KIT,
        "cutter": "nobody",
        "price_list": "nobody",
        "block": "nobody",
        "kind": "nonagon",
        "asset": "nothing.js",
    }
    return world.call(*where, path_values=nobody)


def _in_conflict(world: World, *where: Any) -> TestResponse:
    if "cutters" in where[0]:
        return world.call(*where, path_values={"cutter": "laser-bed"})
    if "blocks" in where[0]:
        return world.call(*where, path_values={"block": "pinwheel"})
    if "price-lists" in where[0]:
        # It was saved without a key, so it belongs to none.
        app = world.shared(auth="on")
        return world.call(*where, app=app, headers=_bearer(app, "write"))
    if where[1] == "get":
        headers = {"Accept": "application/zip"} if "batches" in where[0] else {}
        return world.call(*where, path_values=world.waiting, headers=headers)
    return _with_claim(world, _running, *where)


def _with_claim(world: World, take: Callable[..., Any], *where: Any) -> TestResponse:
    claims = world.app.extensions["quarterseam-store"]().claims
    acquire, claims.acquire = claims.acquire, take
    headers = {"Idempotency-Key": "k"} | (ASYNC if where[0] in AS_JOBS_ONLY else {})
    try:
        return world.call(*where, headers=headers)
    finally:
        claims.acquire = acquire


def _running(*_: object) -> None:
    raise RunningError(9)


def _too_large(world: World, *where: Any) -> TestResponse:
    form = FORM in where[2]["requestBody"]["content"]
    kind = f"{FORM}; boundary=x" if form else "application/json"
    return world.call(*where, data=b"x" * ((1 << 20) + 1), content_type=kind)


PROVOKED: dict[str, Callable[..., TestResponse]] = {
    "400": lambda world, *where: world.call(*where, environ_overrides={"HTTP_HOST": "a b"}),
    "421": lambda world, *where: world.call(*where, base_url="http://b.example"),
    "401": lambda world, *where: world.call(*where, app=world.shared(auth="on")),
    "403": _forbidden,
    "404": _not_there,
    "406": lambda world, *where: world.call(*where, headers={"Accept": "x/y"}),
    "409": _in_conflict,
    "412": lambda world, *where: world.call(*where, headers={"If-Match": '"999"'}),
    "413": _too_large,
    "415": lambda world, *where: world.call(*where, data=b"{}", content_type="text/plain"),
    "422": lambda world, *where: world.call(*where, query="?unknown=1"),
    "429": _too_often,
    "500": _broken,
}


@pytest.mark.timeout(900)
def test_every_documented_refusal_is_produced(world: World) -> None:
    missed = []
    for path, method, operation in world.operations():
        for status in operation["responses"]:
            if status.startswith(("2", "3")) or status in BY_THE_SERVER | {"503"}:
                continue
            if (path, status) == ("/docs", "404"):
                continue  # produced in test_service_watched, without the page's files
            answer = PROVOKED[status](world, path, method, operation)
            if answer.status_code != int(status):
                missed.append((operation["operationId"], status, answer.status_code))
            elif method != "head":
                assert answer.content_type == "application/problem+json"
                payload = answer.get_json()["type"].partition("#")[2]
                # An answer that something still runs states when to ask again.
                if payload in {"still-running", "not-ended"}:
                    assert int(answer.headers["Retry-After"]) > 0, operation["operationId"]
    assert missed == []


def test_every_operation_that_needs_the_store_says_when_it_is_gone(
    world: World, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    missed = []
    app = world.make(auth="on")
    headers = _bearer(app, "admin")
    gone = create_engine(f"sqlite:///{tmp_path}/no/such/folder/x.sqlite")
    store = app.extensions["quarterseam-store"]()
    monkeypatch.setattr(store.keys, "_engine", gone)
    monkeypatch.setattr(store, "engine", gone)
    for path, method, operation in world.operations():
        if "503" not in operation["responses"]:
            continue
        answer = world.call(path, method, operation, app=app, headers=headers)
        if answer.status_code != 503:
            missed.append((operation["operationId"], answer.status_code))
        assert answer.headers.get("Retry-After")
    assert missed == []


def _other_successes(world: World, *where: Any) -> list[TestResponse]:
    """Call an operation in the ways that it can succeed beside the usual one."""
    name = where[2]["operationId"]
    store = world.app.extensions["quarterseam-store"]()
    if name in {"createKit", "createRecut", "planQuilt", "previewLayouts"}:
        return [world.call(*where, headers=ASYNC)]
    if name == "followJob":
        seen = str(store.jobs.version(world.path["job_id"]))
        return [world.call(*where, headers={"Last-Event-ID": seen})]
    if name == "cancelJob":
        store.jobs.claim(world.waiting["job_id"])
        return [world.call(*where, path_values=world.waiting)]
    if name == "cancelBatch":
        waits = next(store.batches.each(world.waiting["batch_id"], "queued", (JOBS.c.id,)))
        store.jobs.claim(waits.id)
        return [world.call(*where, path_values=world.waiting)]
    return []


def test_every_documented_success_is_produced(world: World) -> None:
    produced: dict[str, set[str]] = {}
    # A kit is unpinned before it is deleted.
    last = sorted(
        (each for each in world.operations() if each[1] == "delete"), key=lambda each: -len(each[0])
    )
    rest = [each for each in world.operations() if each[1] != "delete"]
    for path, method, operation in [*rest, *last]:
        answers = [world.call(path, method, operation)]
        if operation["operationId"] in {"putCutter", "putPriceList", "putBlock"}:
            new = {"cutter": "new", "price_list": "new", "block": "new"}
            answers.append(world.call(path, method, operation, path_values=new))
        answers += _other_successes(world, path, method, operation)
        produced[operation["operationId"]] = {str(answer.status_code) for answer in answers}
    documented = {
        operation["operationId"]: {s for s in operation["responses"] if s.startswith("2")}
        for _, _, operation in world.operations()
    }
    assert produced == documented


def test_no_other_refusal_is_documented_than_can_be_produced(world: World) -> None:
    documented = {
        status for *_, operation in world.operations() for status in operation["responses"]
    }
    assert documented == {*PROVOKED, *BY_THE_SERVER, "200", "201", "202", "204", "304", "503"}
