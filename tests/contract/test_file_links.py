"""Signed links to kits' files: one file each, for some hours, as long as their key holds.

The signature is made again here by openssl's HMAC (RFC 2104), from what OPERATIONS.md says of it.
"""

from __future__ import annotations

import hashlib
import logging
import re
import shutil
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import orjson
import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update
from werkzeug.test import TestResponse

from service.settings import SettingsError, from_environment
from service.storage.tables import KEYS
from service.tracing.json_lines import JsonFormatter
from tests.apps_with_keys import Key, MakeApp, apps_with_keys, key_id, new_key, store_of


@pytest.fixture
def make_app(tmp_path: Path) -> Iterator[MakeApp]:
    with apps_with_keys(tmp_path) as make:
        yield make


def _kit(app: Flask, key: Key, body: dict[str, Any]) -> dict[str, Any]:
    made = app.test_client().post("/v1/kits", json=body, headers=key)
    assert made.status_code == 201, made.text
    return dict(made.get_json())


def _link(app: Flask, key: Key, kit: dict[str, Any], file: str, **more: Any) -> dict[str, Any]:
    body = {"file": file, **more}
    made = app.test_client().post(f"/v1/kits/{kit['id']}/links", json=body, headers=key)
    assert made.status_code == 200, made.text
    return dict(made.get_json())


def _slug(answer: TestResponse) -> tuple[int, str]:
    return answer.status_code, str(answer.get_json()["type"]).rpartition("#")[2]


def _altered(client: FlaskClient, href: str) -> tuple[int, str]:
    return _slug(client.get(href))


def test_a_browser_opens_the_same_bytes_without_a_key(
    make_app: MakeApp, small_kit: dict[str, Any]
) -> None:
    app = make_app()
    client, key = app.test_client(), new_key(app)
    kit = _kit(app, key, small_kit)
    files = [each["name"] for run in kit["runs"] for load in run["loads"] for each in load["files"]]
    names = ["run-sheet.pdf", "run-sheet.html", "labels.pdf", "cutting-list.csv", *files]
    # As browsers ask (https://developer.mozilla.org/docs/Web/HTTP/Content_negotiation).
    browser = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}
    for name in names:
        path = f"/v1/kits/{kit['id']}/files/{name}"
        with_key = client.get(path, headers=key)
        assert with_key.headers["Content-Disposition"] == f'attachment; filename="{name}"'
        assert client.get(path, headers=browser).status_code == 401
        href = _link(app, key, kit, name)["href"]
        opened = client.get(href, headers=browser)
        assert (opened.status_code, opened.data) == (200, with_key.data), name
        assert opened.headers["Content-Disposition"] == f'inline; filename="{name}"'
        assert opened.headers["ETag"] == with_key.headers["ETag"]
        assert client.head(href).status_code == 200
        # It runs nothing, and nothing of its address goes to another site.
        policy = opened.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert ("sandbox" in policy) is (not name.endswith(".pdf"))
        assert opened.headers["Referrer-Policy"] == "no-referrer"
        assert opened.headers["X-Content-Type-Options"] == "nosniff"
        assert opened.headers["Cache-Control"] == "private, no-cache"
    # Links change nothing of the kit: its printed codes stay the same bytes.
    again = client.get(f"/v1/kits/{kit['id']}", headers=key).get_json()
    assert again == kit


def test_a_link_opens_one_file_of_one_kit_and_only_to_read(
    make_app: MakeApp, small_kit: dict[str, Any]
) -> None:
    app = make_app()
    client, key = app.test_client(), new_key(app)
    kit, other = (_kit(app, key, small_kit | {"title": title}) for title in ("A", "B"))
    href = _link(app, key, kit, "run-sheet.pdf")["href"]
    path, _, query = href.partition("?")
    for elsewhere in (
        f"/v1/kits/{kit['id']}/files/labels.pdf", f"/v1/kits/{other['id']}/files/run-sheet.pdf",
    ):  # fmt: skip
        assert _altered(client, f"{elsewhere}?{query}") == (403, "link-altered")
    # No other operation takes it: neither reading, nor writing, nor making links.
    for elsewhere in ("/v1/kits", f"/v1/kits/{kit['id']}", "/v1/jobs", "/metrics"):
        assert _slug(client.get(f"{elsewhere}?{query}")) == (401, "key-required")
    assert client.post(f"/v1/kits/{kit['id']}/links?{query}", json={}).status_code == 401
    assert client.delete(f"/v1/kits/{kit['id']}?{query}").status_code == 401
    assert client.put(f"/v1/kits/{kit['id']}/pin?{query}").status_code == 401
    for method in (client.post, client.put, client.delete):
        assert method(href).status_code in {401, 405}
    assert client.get(path).status_code == 401
    assert client.get(href).status_code == 200


def test_a_link_that_was_altered_opens_nothing(
    make_app: MakeApp, small_kit: dict[str, Any]
) -> None:
    app = make_app()
    client, key, other = app.test_client(), new_key(app), new_key(app)
    kit = _kit(app, key, small_kit)
    href = _link(app, key, kit, "run-sheet.pdf")["href"]
    path, _, query = href.partition("?")
    stated = {name: values[0] for name, values in parse_qs(query).items()}
    assert set(stated) == {"disposition", "expires", "key", "signature"}
    later = str(int(stated["expires"]) + 1)
    signature = stated["signature"]
    for wrong in (
        {"expires": later}, {"expires": ""}, {"expires": "9" * 13}, {"expires": "0x9"},
        {"key": key_id(other)}, {"key": "nobody"}, {"key": ""}, {"key": "x" * 4000},
        {"signature": signature[:-1]}, {"signature": f"{signature}0"},
        {"signature": signature[::-1]}, {"signature": ""}, {"signature": "é" * 64},
        {"signature": "0" * 64},
    ):  # fmt: skip
        answer = client.get(path, query_string=stated | wrong)
        assert _slug(answer) == (403, "link-altered"), wrong
        assert answer.content_type == "application/problem+json"
    for name in ("expires", "key"):
        left = {each: value for each, value in stated.items() if each != name}
        assert _slug(client.get(path, query_string=left)) == (403, "link-altered")
        assert _altered(client, f"{href}&{name}={stated[name]}") == (403, "link-altered")
    assert client.get(f"{href}&more=1").status_code == 422
    # A key in the header is looked at instead, whatever the address holds.
    assert client.get(href, headers=other).status_code == 404
    assert client.get(href, headers={"Authorization": "Bearer nobody.x"}).status_code == 401
    assert client.get(href).status_code == 200


def test_a_link_ends_at_its_time_and_says_when(
    make_app: MakeApp, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    app = make_app()
    client, key = app.test_client(), new_key(app)
    kit = _kit(app, key, small_kit)
    before = int(time.time())
    day, hour = _link(app, key, kit, "labels.pdf"), _link(app, key, kit, "labels.pdf", hours=1)
    for made, hours in ((day, 12), (hour, 1)):
        expires = int(parse_qs(urlsplit(made["href"]).query)["expires"][0])
        assert before + 3600 * hours <= expires <= int(time.time()) + 3600 * hours
        # RFC 3339, in UTC.
        stated = time.strftime("%Y-%m-%dT%H:%M:%S.000000+00:00", time.gmtime(expires))
        assert made["expires_at"] == stated
    ends = int(parse_qs(urlsplit(hour["href"]).query)["expires"][0])
    monkeypatch.setattr("service.http.file_links.time.time", lambda: ends - 0.5)
    assert client.get(hour["href"]).status_code == 200
    monkeypatch.setattr("service.http.file_links.time.time", lambda: float(ends))
    answer = client.get(hour["href"])
    assert _slug(answer) == (403, "link-expired")
    assert hour["expires_at"] in answer.get_json()["detail"]
    assert client.get(day["href"]).status_code == 200


@pytest.mark.parametrize("body", [
    {}, {"file": ""}, {"file": "x" * 121}, {"file": 7}, {"file": "run-sheet.pdf", "hours": 0},
    {"file": "run-sheet.pdf", "hours": 169}, {"file": "run-sheet.pdf", "hours": "1"},
    {"file": "run-sheet.pdf", "days": 1},
])  # fmt: skip
def test_what_no_link_can_be_made_of_is_refused(
    make_app: MakeApp, small_kit: dict[str, Any], body: dict[str, Any]
) -> None:
    app = make_app()
    key = new_key(app)
    links = f"/v1/kits/{_kit(app, key, small_kit)['id']}/links"
    answer = app.test_client().post(links, json=body, headers=key)
    assert _slug(answer) == (422, "schema-mismatch")
    assert answer.get_json()["errors"][0]["pointer"].startswith("#")


def test_there_are_links_only_to_files_that_the_key_sees(
    make_app: MakeApp, small_kit: dict[str, Any]
) -> None:
    app = make_app()
    client, mine, other, admin = (
        app.test_client(),
        new_key(app),
        new_key(app),
        new_key(app, "admin"),
    )
    reader = new_key(app, "read")
    kit = _kit(app, mine, small_kit)
    links = f"/v1/kits/{kit['id']}/links"
    for file in ("nothing.pdf", "../kit.zip", "kit.zip\n"):
        answer = client.post(links, json={"file": file}, headers=mine)
        assert answer.status_code in {404, 422}, file
    for key in (other, reader):
        refused = client.post(links, json={"file": "run-sheet.pdf"}, headers=key)
        assert refused.status_code == 404
    assert client.get(_link(app, admin, kit, "run-sheet.pdf")["href"]).status_code == 200
    # A link sees what its key sees: where the studio shares all no longer, it ends.
    shared = make_app(sharing="all")
    href = _link(shared, reader, kit, "run-sheet.pdf")["href"]
    assert shared.test_client().get(href).status_code == 200
    assert client.get(href).status_code == 404


def test_a_link_ends_with_its_key(make_app: MakeApp, small_kit: dict[str, Any]) -> None:
    app = make_app(sharing="all")
    client, keys = app.test_client(), store_of(app).keys
    mine = new_key(app)
    kit = _kit(app, mine, small_kit)

    def made(key: Key) -> str:
        return str(_link(app, key, kit, "run-sheet.pdf")["href"])

    revoked, expired, rotated = new_key(app), new_key(app), new_key(app)
    links = [made(each) for each in (mine, revoked, expired, rotated)]
    assert {client.get(href).status_code for href in links} == {200}
    assert keys.revoke(key_id(revoked))
    with store_of(app).engine.begin() as connection:
        which = update(KEYS).where(KEYS.c.id == key_id(expired))
        connection.execute(which.values(expires_us=time.time_ns() // 1000 - 1))
    assert keys.rotate(key_id(rotated), keep_hours=1)
    # The secret before is accepted for an hour, and so are its links.
    assert [client.get(href).status_code for href in links] == [200, 403, 403, 200]
    assert keys.rotate(key_id(rotated))
    assert [client.get(href).status_code for href in links] == [200, 403, 403, 403]


def test_the_secret_is_kept_in_the_data_folder_or_a_file(
    make_app: MakeApp, small_kit: dict[str, Any], tmp_path: Path
) -> None:
    app = make_app()
    key = new_key(app)
    kit = _kit(app, key, small_kit)
    file = tmp_path / "data" / "link-secret"
    assert not file.exists()
    href = _link(app, key, kit, "run-sheet.pdf")["href"]
    assert file.stat().st_mode & 0o777 == 0o600
    assert len(file.read_bytes()) == 64
    # All processes of a store open it, also those that start later; none after it is deleted.
    other = make_app()
    assert other.test_client().get(href).status_code == 200
    file.unlink()
    assert _altered(other.test_client(), href) == (403, "link-altered")
    stated = tmp_path / "secret"
    stated.write_text("5a" * 32 + "\n")
    file.unlink()
    settings = from_environment({"QUARTERSEAM_LINK_SECRET_FILE": str(stated)})
    own = make_app(link_secret_file=settings.link_secret_file)
    opened = _link(own, key, kit, "run-sheet.pdf")["href"]
    assert own.test_client().get(opened).status_code == 200
    assert not file.exists()
    assert _altered(app.test_client(), opened) == (403, "link-altered")


def test_openssl_makes_the_same_signature(
    make_app: MakeApp, small_kit: dict[str, Any], tmp_path: Path
) -> None:
    program = shutil.which("openssl")
    if program is None:
        pytest.skip("openssl is not installed")
    app = make_app()
    key = new_key(app)
    kit = _kit(app, key, small_kit)
    href = _link(app, key, kit, "run-sheet.pdf")["href"]
    stated = {name: values[0] for name, values in parse_qs(urlsplit(href).query).items()}
    secret = key["Authorization"].partition(".")[2]
    message = "\n".join((
        "GET", urlsplit(href).path, stated["expires"], key_id(key),
        hashlib.sha256(secret.encode()).hexdigest(),
    ))  # fmt: skip
    hmac_key = (tmp_path / "data" / "link-secret").read_text()
    made = subprocess.run(
        [program, "dgst", "-sha256", "-hmac", hmac_key, "-r"],
        input=message.encode(), capture_output=True, check=True,
    )  # fmt: skip
    assert made.stdout.decode().split()[0] == stated["signature"]


@pytest.mark.parametrize("text", [None, "", "short", "x" * 31])
def test_a_secret_file_that_cannot_be_used_is_refused_at_the_start(
    tmp_path: Path, text: str | None
) -> None:
    file = tmp_path / "secret"
    if text is not None:
        file.write_text(text)
    with pytest.raises(SettingsError, match=r"QUARTERSEAM_LINK_SECRET_FILE.*at least 32 bytes"):
        from_environment({"QUARTERSEAM_LINK_SECRET_FILE": str(file)})


def test_no_link_is_logged_whole(
    make_app: MakeApp, small_kit: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    app = make_app()
    key = new_key(app)
    kit = _kit(app, key, small_kit)
    with caplog.at_level(logging.DEBUG):
        href = _link(app, key, kit, "run-sheet.pdf")["href"]
        assert app.test_client().get(href).status_code == 200
        assert app.test_client().get(f"{href}0").status_code == 403
    lines = "\n".join(JsonFormatter().format(record) for record in caplog.records)
    assert f"/v1/kits/{kit['id']}/files/run-sheet.pdf" in lines
    signature = parse_qs(urlsplit(href).query)["signature"][0]
    assert signature not in lines
    assert "expires=" not in lines
    # Whose link it was is in the log.
    answered = [orjson.loads(line) for line in lines.splitlines() if "answered" in line]
    assert {each.get("key_id") for each in answered if each["status"] == 200} == {key_id(key)}
    # Neither do the set-ups' proxies log addresses.
    proxy = (Path(__file__).resolve().parents[2] / "docker" / "proxy.conf").read_text()
    assert re.search(r"^\s*access_log off;", proxy, re.MULTILINE)


def test_refused_links_are_rated_by_address(make_app: MakeApp, small_kit: dict[str, Any]) -> None:
    app = make_app(refused_keys_per_minute=5)
    key = new_key(app)
    kit = _kit(app, key, small_kit)
    href = _link(app, key, kit, "run-sheet.pdf")["href"]
    statuses = [app.test_client().get(f"{href}{n % 10}").status_code for n in range(7)]
    assert statuses == [403] * 5 + [429] * 2
    assert app.test_client().get(href).status_code == 200


def test_without_keys_the_address_itself_is_the_link(
    make_app: MakeApp, small_kit: dict[str, Any]
) -> None:
    app = make_app(auth="off")
    kit = _kit(app, {}, small_kit)
    made = _link(app, {}, kit, "run-sheet.pdf")
    assert made == {"href": f"/v1/kits/{kit['id']}/files/run-sheet.pdf?disposition=inline"}
    opened = app.test_client().get(made["href"])
    assert opened.status_code == 200
    assert opened.headers["Content-Disposition"].startswith("inline")
    assert app.test_client().get(f"{made['href']}d").status_code == 422
    # It opens nothing where keys are asked for.
    assert make_app().test_client().get(made["href"]).status_code == 401
