"""Doors that are shut: keys and scopes, trusted hosts, headers, other origins, logs."""

from __future__ import annotations

import json
import logging
import re
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
from service.tracing.json_lines import JsonFormatter

ORIGIN = "https://workroom.example"
MakeClient = Callable[..., FlaskClient]


@pytest.fixture
def make_client(tmp_path: Path) -> Iterator[MakeClient]:
    made: list[Flask] = []

    def make(**settings: Any) -> FlaskClient:
        app = create_app(Settings(data=tmp_path, **settings))
        made.append(app)
        return app.test_client()

    yield make
    for app in made:
        app.extensions["quarterseam-store"]().close()


def _key(client: FlaskClient, scope: str) -> str:
    store = client.application.extensions["quarterseam-store"]()
    return str(store.keys.add(f"for {scope}", scope))


def _bearer(key: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {key}"}


@pytest.mark.parametrize(
    ("settings", "status"),
    [
        ({}, 200),
        ({"host": "127.0.0.1"}, 200),
        ({"host": "::1"}, 200),
        ({"host": "localhost"}, 200),
        ({"host": "0.0.0.0"}, 401),  # noqa: S104 - that is the point
        ({"host": "192.0.2.7"}, 401),
        ({"host": "workroom.example"}, 401),
        ({"host": "0.0.0.0", "auth": "off"}, 401),  # noqa: S104 - that is the point
        ({"host": "127.0.0.1", "auth": "on"}, 401),
    ],
)
def test_a_key_is_needed_beyond_this_machine(
    make_client: MakeClient, settings: dict[str, Any], status: int
) -> None:
    client = make_client(**settings)
    answer = client.get("/v1/shapes")
    assert answer.status_code == status
    if status == 401:
        assert answer.get_json()["type"] == "/problems#key-required"
        assert answer.headers["WWW-Authenticate"].startswith("Bearer")
        assert client.get("/v1/shapes", headers=_bearer(_key(client, "read"))).status_code == 200


def test_every_operation_but_a_few_asks_for_a_key(
    make_client: MakeClient, document: dict[str, Any]
) -> None:
    client = make_client(auth="on")
    open_to_all: set[str] = set()
    for path, operations in document["paths"].items():
        for method in operations:
            address = re.sub(r"{[a-z]+_id}", "11111111-1111-4111-8111-111111111111", path)
            answer = client.open(re.sub(r"{[a-z]+}", "x", address), method=method.upper())
            if answer.status_code != 401:
                open_to_all.add(path)
    assert open_to_all == {
        "/healthz", "/readyz", "/openapi.json", "/problems", "/docs", "/docs/{name}", "/",
        "/page/{name}",
    }  # fmt: skip


@pytest.mark.parametrize(
    "stated",
    [
        "",
        "Bearer",
        "Bearer ",
        "Basic Zm9vOmJhcg==",
        "Bearer nobody.nothing",
        "Bearer .",
        "Bearer x" * 99,
    ],
)
def test_what_is_no_key_opens_nothing(make_client: MakeClient, stated: str) -> None:
    client = make_client(auth="on")
    assert client.get("/v1/kits", headers={"Authorization": stated}).status_code == 401


def test_a_key_with_another_secret_opens_nothing(make_client: MakeClient) -> None:
    client = make_client(auth="on")
    one, other = _key(client, "admin"), _key(client, "admin")
    mixed = one.split(".")[0] + "." + other.split(".")[1]
    assert client.get("/v1/kits", headers=_bearer(one)).status_code == 200
    assert client.get("/v1/kits", headers=_bearer(mixed)).status_code == 401


def test_scopes_go_as_far_as_they_say(make_client: MakeClient, small_kit: dict[str, Any]) -> None:
    client = make_client(auth="on", sharing="all")
    reader, writer = _key(client, "read"), _key(client, "write")
    assert client.post("/v1/layouts", json=small_kit, headers=_bearer(reader)).status_code == 200
    refused = client.post("/v1/kits", json=small_kit, headers=_bearer(reader))
    assert refused.status_code == 403
    assert refused.get_json()["type"] == "/problems#scope-too-small"
    made = client.post("/v1/kits", json=small_kit, headers=_bearer(writer))
    assert made.status_code == 201
    link = made.headers["Location"]
    assert client.delete(link, headers=_bearer(reader)).status_code == 403
    assert client.get(link, headers=_bearer(reader)).status_code == 200
    assert client.delete(link, headers=_bearer(writer)).status_code == 204


def test_keys_are_made_listed_and_revoked_from_the_command_line(
    make_client: MakeClient,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path))
    client = make_client(auth="on")
    assert main(["keys", "add", "night shift", "--scope", "write"]) == 0
    key = capsys.readouterr().out.strip()
    assert client.get("/v1/kits", headers=_bearer(key)).status_code == 200
    assert main(["keys", "list"]) == 0
    listed = capsys.readouterr().out
    assert "night shift" in listed
    assert key.split(".")[1] not in listed
    assert main(["keys", "revoke", key.split(".")[0]]) == 0
    assert client.get("/v1/kits", headers=_bearer(key)).status_code == 401
    assert main(["keys", "revoke", key.split(".")[0]]) == 2


def test_secrets_are_nowhere_on_disk(make_client: MakeClient, tmp_path: Path) -> None:
    client = make_client(auth="on")
    secret = _key(client, "admin").split(".")[1].encode()
    client.application.extensions["quarterseam-store"]().close()
    for path in tmp_path.rglob("*"):
        assert not path.is_file() or secret not in path.read_bytes()


def test_secrets_are_nowhere_in_logs(
    make_client: MakeClient, caplog: pytest.LogCaptureFixture
) -> None:
    client = make_client(auth="on")
    key = _key(client, "read")
    with caplog.at_level(logging.DEBUG):
        client.get("/v1/kits?after=query-secret", headers=_bearer(key))
        client.post("/v1/kits", data=b"body-secret", headers=_bearer(key))
        client.get("/v1/kits", headers=_bearer(key + "x"))
    payload = "\n".join(JsonFormatter().format(record) for record in caplog.records)
    assert payload
    for secret in (key.split(".")[1], "query-secret", "body-secret"):
        assert secret not in payload


def test_only_trusted_hosts_are_answered(make_client: MakeClient) -> None:
    client = make_client(trusted_hosts=("workroom.example", "127.0.0.1"))
    assert client.get("/healthz", base_url="http://workroom.example").status_code == 200
    refused = client.get("/healthz", base_url="http://rebound.example")
    assert refused.status_code == 421
    assert refused.get_json()["type"] == "/problems#misdirected-request"


@pytest.mark.parametrize(
    ("method", "path"),
    [("GET", "/v1/shapes"), ("GET", "/nowhere"), ("POST", "/v1/kits"), ("GET", "/openapi.json")],
)
def test_every_answer_carries_the_shutting_headers(
    client: FlaskClient, method: str, path: str
) -> None:
    answer = client.open(path, method=method)
    assert {name: answer.headers.get(name) for name in SHUT} == SHUT
    assert answer.headers["Cache-Control"] in {"no-store", "private, no-cache"}
    assert not [name for name, _ in answer.headers if name.startswith("Access-Control")]


def test_other_origins_may_call_only_when_they_are_listed(make_client: MakeClient) -> None:
    asked = {"Origin": ORIGIN, "Access-Control-Request-Method": "POST"}
    shut = make_client().options("/v1/kits", headers=asked)
    assert not [name for name, _ in shut.headers if name.startswith("Access-Control")]
    client = make_client(cors_origins=(ORIGIN,))
    allowed = client.options("/v1/kits", headers=asked)
    assert allowed.headers["Access-Control-Allow-Origin"] == ORIGIN
    assert "POST" in allowed.headers["Access-Control-Allow-Methods"]
    other = client.options("/v1/kits", headers={**asked, "Origin": "https://other.example"})
    assert "Access-Control-Allow-Origin" not in other.headers
    assert "Origin" in other.headers["Vary"]


@pytest.mark.parametrize(
    ("site", "method", "status"),
    [
        ("cross-site", "POST", 403),
        ("same-site", "POST", 403),
        ("cross-site", "GET", 200),
        ("same-origin", "POST", 201),
        ("none", "POST", 201),
        (None, "POST", 201),
    ],
)
def test_pages_of_other_sites_cannot_send_forms(
    make_client: MakeClient, small_kit: dict[str, Any], site: str | None, method: str, status: int
) -> None:
    client = make_client(cors_origins=(ORIGIN,))
    headers = {} if site is None else {"Sec-Fetch-Site": site}
    body = small_kit if method == "POST" else None
    answer = client.open("/v1/kits", method=method, json=body, headers=headers)
    assert answer.status_code == status
    if status == 403:
        assert answer.get_json()["type"] == "/problems#other-origin"
        listed = client.post("/v1/kits", json=small_kit, headers={**headers, "Origin": ORIGIN})
        assert listed.status_code == 201


@pytest.mark.parametrize(
    ("path", "methods"),
    [
        ("/v1/kits", {"GET", "HEAD", "POST", "OPTIONS"}),
        ("/v1/cutters/x", {"GET", "HEAD", "PUT", "DELETE", "OPTIONS"}),
        ("/v1/outlines", {"POST", "OPTIONS"}),
    ],
)
def test_options_lists_the_methods(client: FlaskClient, path: str, methods: set[str]) -> None:
    answer = client.options(path)
    assert answer.status_code == 204
    assert {part.strip() for part in answer.headers["Allow"].split(",")} == methods
    assert answer.data == b""


def test_head_says_what_get_would_without_the_body(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    link = client.post("/v1/kits", json=small_kit).headers["Location"]
    for path in ("/v1/shapes", link, "/openapi.json"):
        got, headed = client.get(path), client.head(path)
        assert headed.data == b""
        different = {"X-Request-ID", "Date"}
        assert {n: v for n, v in headed.headers if n not in different} == {
            n: v for n, v in got.headers if n not in different
        }


def test_large_answers_are_compressed_for_those_who_ask(client: FlaskClient) -> None:
    plain = client.get("/openapi.json")
    packed = client.get("/openapi.json", headers={"Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert len(packed.data) < len(plain.data) / 4
    assert "Accept-Encoding" in packed.headers["Vary"]
    assert "Accept-Encoding" in plain.headers["Vary"]
    # Two forms are two things to a cache, and each is known again.
    assert packed.headers["ETag"] != plain.headers["ETag"]
    for tag in (packed.headers["ETag"], plain.headers["ETag"]):
        again = client.get(
            "/openapi.json", headers={"Accept-Encoding": "gzip", "If-None-Match": tag}
        )
        assert again.status_code == 304
        assert again.headers["ETag"] == tag
    refused = client.get("/openapi.json", headers={"Accept-Encoding": "gzip;q=0"})
    assert "Content-Encoding" not in refused.headers


@pytest.mark.parametrize(
    "path",
    [
        "/v1/shapes", "/v1/shapes/kite", "/v1/shapes/kite/picture.svg", "/v1/formats",
        "/v1/cutters", "/v1/cutters/laser-bed", "/v1/kits", "/openapi.json", "/docs",
    ],
)  # fmt: skip
def test_nothing_is_sent_twice_to_who_has_it(client: FlaskClient, path: str) -> None:
    first = client.get(path)
    again = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304
    assert again.data == b""
    assert again.headers["ETag"] == first.headers["ETag"]
    assert client.get(path, headers={"If-None-Match": '"other"'}).data == first.data
    if path.startswith("/v1/"):
        # The library would send the whole answer, with its media type, under the other status.
        changed = client.get(path, headers={"If-Match": '"other"'})
        assert (changed.status_code, changed.mimetype) == (412, "application/problem+json")
        assert changed.get_json()["type"] == "/problems#precondition-failed"


@pytest.mark.parametrize(
    ("stated", "kept"), [("night-42.a_b", True), ("a b", False), ("x" * 65, False), ("é", False)]
)
def test_a_request_keeps_its_id_when_it_has_a_fit_one(
    client: FlaskClient, stated: str, kept: bool
) -> None:
    answer = client.get("/nowhere", headers={"X-Request-ID": stated})
    assert (answer.headers["X-Request-ID"] == stated) is kept
    assert answer.get_json()["request_id"] == answer.headers["X-Request-ID"]


def test_logs_are_json_lines_with_the_ids_of_their_request(
    client: FlaskClient, caplog: pytest.LogCaptureFixture
) -> None:
    trace = "0af7651916cd43dd8448eb211c80319c"
    written: list[str] = []

    class Handler(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            written.append(JsonFormatter().format(record))

    handler = Handler()
    logger = logging.getLogger("service.access")
    logger.addHandler(handler)
    try:
        with caplog.at_level(logging.INFO):
            client.get(
                "/nowhere",
                headers={"X-Request-ID": "here", "traceparent": f"00-{trace}-b7ad6b7169203331-01"},
            )
    finally:
        logger.removeHandler(handler)
    payload = json.loads(written[-1])
    expected = {
        "request_id": "here", "trace_id": trace, "status": 404, "path": "/nowhere",
        "problem": "not-found", "level": "INFO",
    }  # fmt: skip
    assert expected.items() <= payload.items()
