"""One test a row of openapi/SECURITY.md: the OWASP API Security Top 10 (2023)."""

from __future__ import annotations

import ast
import json
import re
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.cli import main
from service.http.security_headers import SHUT
from service.settings import Settings

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def guarded(tmp_path: Path) -> Iterator[Flask]:
    app = create_app(Settings(data=tmp_path / "data", auth="on"))
    yield app
    app.extensions["quarterseam-store"]().close()


def _as(app: Flask, scope: str) -> dict[str, Any]:
    key = app.extensions["quarterseam-store"]().keys.add(scope, scope)
    return {"headers": {"Authorization": f"Bearer {key}"}}


def test_every_row_of_the_list_has_its_test() -> None:
    rows = re.findall(r"^\| API(\d+) .*`(test_api(\d+)_\w+)` \|$", _list(), re.MULTILINE)
    assert [int(number) for number, *_ in rows] == list(range(1, 11))
    for number, name, same in rows:
        assert number == same
        assert callable(globals()[name])


def _list() -> str:
    return (ROOT / "openapi" / "SECURITY.md").read_text(encoding="utf-8")


def test_api1_ids_cannot_be_guessed_and_open_nothing_of_another_key(
    client: FlaskClient, guarded: Flask, small_kit: dict[str, Any]
) -> None:
    one, other = (client.post("/v1/kits", json=small_kit).get_json()["id"] for _ in range(2))
    assert {uuid.UUID(one).version, uuid.UUID(other).version} == {4}
    client.delete(f"/v1/kits/{one}")
    assert client.get(f"/v1/kits/{one}/files/run-sheet.pdf").status_code == 404
    assert client.get(f"/v1/kits/{other}/files/run-sheet.pdf").status_code == 200
    assert client.get(f"/v1/kits/{other}/files/..%2f{other}.zip").status_code == 404
    # An id alone gives nothing; test_ownership.py tries every operation.
    mine, others = _as(guarded, "write"), _as(guarded, "write")
    link = guarded.test_client().post("/v1/kits", json=small_kit, **mine).headers["Location"]
    assert guarded.test_client().get(link, **mine).status_code == 200
    for call in (guarded.test_client().get, guarded.test_client().delete):
        assert call(link, **others).status_code == 404
    assert guarded.test_client().get("/v1/kits", **others).get_json()["kits"] == []


def test_api2_only_a_whole_key_in_the_header_opens(guarded: Flask) -> None:
    client = guarded.test_client()
    good = _as(guarded, "read")
    key = good["headers"]["Authorization"].removeprefix("Bearer ")
    assert client.get("/v1/kits", **good).status_code == 200
    for wrong in (key[:-1], key + "x", key.split(".")[0] + ".", "." + key.split(".")[1], "%"):
        answer = client.get("/v1/kits", headers={"Authorization": f"Bearer {wrong}"})
        assert answer.status_code == 401
    assert client.get(f"/v1/kits?key={key}").status_code == 401
    client.set_cookie("key", key)
    assert client.get("/v1/kits").status_code == 401


@pytest.mark.parametrize("member", ["id", "version", "created_at", "recut_of", "href", "files"])
def test_api3_nothing_of_the_service_can_be_set_from_outside(
    client: FlaskClient, small_kit: dict[str, Any], member: str
) -> None:
    small_kit[member] = "x"
    answer = client.post("/v1/kits", json=small_kit)
    assert answer.status_code == 422
    assert [fault["pointer"] for fault in answer.get_json()["errors"]] == [f"#/{member}"]


def _nested(depth: int) -> bytes:
    return b'{"a":' * depth + b"1" + b"}" * depth


def test_api4_every_limit_has_its_own_refusal(tmp_path: Path, small_kit: dict[str, Any]) -> None:
    app = create_app(Settings(data=tmp_path, rate_per_minute=20, workers=1, max_body_bytes=4096))
    client = app.test_client()

    def refused(changed: dict[str, Any]) -> str:
        problem: Any = client.post("/v1/kits", json=small_kit | changed).get_json()
        slug = str(problem["type"]).split("#")[1]
        return f"{slug} {problem.get('errors', [{}])[0].get('pointer', '')}"

    piece, run = small_kit["pieces"][0], small_kit["runs"][0]
    points = [[index, index * index] for index in range(200)]
    assert refused({"title": "x" * 5000}) == "body-too-large "
    assert refused({"title": "x" * 121}) == "schema-mismatch #/title"
    assert (
        refused({"pieces": [piece | {"quantity": 10**7}]}) == "schema-mismatch #/pieces/0/quantity"
    )
    assert refused({"runs": [run] * 51}) in {"schema-mismatch #/runs", "body-too-large "}
    assert refused(
        {"pieces": [piece | {"shape": {"kind": "custom", "points": points[:1]}}]}
    ).startswith("schema-mismatch")
    deep = client.post("/v1/kits", data=_nested(40), content_type="application/json")
    assert deep.get_json()["type"] == "/problems#too-deep"
    # The limits of time, memory and number at once are in test_service_bounds.py.
    statuses = {client.get("/v1/shapes/kite").status_code for _ in range(30)}
    assert statuses == {200, 429}
    app.extensions["quarterseam-store"]().close()


def test_api5_a_lesser_key_does_nothing_greater(
    guarded: Flask, document: dict[str, Any], small_kit: dict[str, Any]
) -> None:
    client = guarded.test_client()
    reader = _as(guarded, "read")
    link = client.post("/v1/kits", json=small_kit, **_as(guarded, "write")).headers["Location"]
    operations = [vars(view)["operation"] for view in guarded.view_functions.values()]
    greater = {each.id for each in operations if each.scope in {"write", "admin"}}
    changing = [
        (method, path)
        for path, operations in document["paths"].items()
        for method, operation in operations.items()
        if operation["operationId"] in greater
    ]
    assert len(changing) >= 6
    for method, path in changing:
        address = re.sub(r"{[a-z]+_id}", link.rsplit("/", 1)[1], path).replace("{name}", "mine")
        # No body is sent: the key is looked at first.
        assert client.open(address, method=method.upper(), **reader).status_code == 403
    assert client.get("/v1/kits", **reader).status_code == 200


def test_api6_nothing_is_deleted_in_bulk(document: dict[str, Any]) -> None:
    deleting = {path for path, operations in document["paths"].items() if "delete" in operations}
    # One thing at a time, or the pin of one kit.
    assert all(path.endswith(("}", "}/pin")) for path in deleting)


def test_api7_only_callbacks_leave_and_only_to_listed_hosts(
    client: FlaskClient, document: dict[str, Any]
) -> None:
    # Nobody is called unless the operator lists hosts (tests/contract/test_callbacks.py, and
    # test_callback_sending.py for addresses, redirects and bounds),
    url, secret = "http://169.254.169.254/", "whsec_" + "A" * 32
    refused = client.post("/v1/kits", json={"callback": {"url": url, "secret": secret}})
    assert refused.status_code == 422
    assert client.application.config["SETTINGS"].callback_hosts == ()
    # no other member of a request is an address by its format,
    for name, schema in document["components"]["schemas"].items():
        if name.endswith(("Request", "Settings")) or name in {"Piece", "Run", "SavedCutter"}:
            assert "uri" not in json.dumps(schema)
    # and no other module of the packages can fetch one.
    fetching = {
        "urllib.request",
        "http.client",
        "requests",
        "httpx",
        "aiohttp",
        "ftplib",
        "smtplib",
        "ssl",
    }
    # The health check asks its own machine, at an address that nobody states; the load command asks
    # the address that its operator types, from no server.
    known = {
        ROOT / "service" / "callbacks" / "sending.py",
        ROOT / "service" / "cli" / "healthy.py",
        ROOT / "service" / "cli" / "load.py",
    }
    for package in ("geometry", "adapters", "service"):
        for path in (ROOT / package).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                names: list[str] = []
                if isinstance(node, ast.Import):
                    names = [alias.name for alias in node.names]
                elif isinstance(node, ast.ImportFrom) and node.module:
                    names = [node.module]
                assert path in known or not fetching & set(names), path


def test_api8_it_is_closed_by_default(
    client: FlaskClient,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    answer = client.get("/v1/shapes", headers={"Origin": "https://other.example"})
    assert all(answer.headers[name] == value for name, value in SHUT.items())
    assert not [name for name, _ in answer.headers if name.startswith("Access-Control")]
    assert client.application.debug is False
    assert client.application.secret_key is None
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path))
    monkeypatch.setenv("QUARTERSEAM_AUTH", "off")
    assert main(["serve", "--host", "192.0.2.1", "--check-config"]) == 2
    assert "QUARTERSEAM_AUTH" in capsys.readouterr().err


def test_api9_nothing_answers_that_is_not_in_the_document(
    app: Flask, document: dict[str, Any]
) -> None:
    served = {
        (re.sub(r"<(?:[^:<>]+:)?([^<>]+)>", r"{\1}", rule.rule), method.lower())
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }
    written = {(path, method) for path, each in document["paths"].items() for method in each}
    assert served == written
    assert all(
        path.startswith(("/v1/", "/docs/", "/page/")) for path, _ in written if path.count("/") > 1
    )


def test_api10_what_is_read_back_is_checked(
    app: Flask,
    client: FlaskClient,
    small_kit: dict[str, Any],
    fits: Callable[[Any, str], None],
) -> None:
    kit = client.post("/v1/kits", json=small_kit).get_json()
    store = app.extensions["quarterseam-store"]()
    path = store.folder / store.kits.name(kit["id"])
    stored = path.read_bytes()
    middle = len(stored) // 2
    path.write_bytes(stored[:middle] + bytes([stored[middle] ^ 1]) + stored[middle + 1 :])
    answer = client.get(f"/v1/kits/{kit['id']}", headers={"Accept": "application/zip"})
    assert answer.status_code == 500
    fits(answer.get_json(), "Problem")
