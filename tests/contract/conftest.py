"""The whole service through its WSGI door, on a data folder of its own."""

from __future__ import annotations

import copy
import json
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import select

from service.app import create_app
from service.jobs.runner import Runner
from service.settings import Settings
from service.storage.tables import JOBS

ROOT = Path(__file__).resolve().parents[2]

SMALL_KIT: dict[str, Any] = {
    "title": "Slipway sampler",
    "units": "in",
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 4,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "drag-blade-sheet",
            "formats": ["svg"],
            "material": {"name": "card", "kind": "card"},
        }
    ],
}


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    made = create_app(
        Settings(data=tmp_path_factory.mktemp("data"), max_body_bytes=200_000, compute_seconds=600)
    )
    yield made
    made.extensions["quarterseam-store"]().close()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def small_kit() -> dict[str, Any]:
    return copy.deepcopy(SMALL_KIT)


@pytest.fixture(scope="session")
def do_jobs() -> Callable[[Flask], int]:
    """Does every job that waits, here and now, as a worker would; returns how many."""

    def do(app: Flask) -> int:
        store = app.extensions["quarterseam-store"]()
        runner = Runner(store, app.config["SETTINGS"], threading.Event())
        with store.engine.connect() as connection:
            waiting = select(JOBS.c.id).where(JOBS.c.state == "queued").order_by(JOBS.c.number)
            found = list(connection.execute(waiting).scalars())
        for job_id in found:
            work = store.jobs.claim(job_id)
            assert work is not None
            runner.run(work)
        return len(found)

    return do


@pytest.fixture(scope="module")
def document(app: Flask) -> dict[str, Any]:
    payload = app.test_client().get("/openapi.json")
    return dict(json.loads(payload.data))


@pytest.fixture(scope="module")
def fits(document: dict[str, Any]) -> Callable[[Any, str], None]:
    """Checks a value against a component of the document, by a validator that is not ours."""

    # Answers are open, so that later versions may tell more; here nothing untold may be in them.
    closed = copy.deepcopy(document["components"])
    for name, schema in closed["schemas"].items():
        if "properties" in schema and name != "Problem":
            schema["additionalProperties"] = False

    def check(value: Any, component: str) -> None:
        schema = {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "$ref": f"#/components/schemas/{component}",
            "components": closed,
        }
        jsonschema.Draft202012Validator(schema).validate(value)

    return check
