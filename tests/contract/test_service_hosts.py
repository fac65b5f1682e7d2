"""Host names that are answered, pages that may send, and keys that cannot be switched off."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.cli import main
from service.http import first_key
from service.http.rate_limit import address_block
from service.serving.server import check_sockets
from service.settings import Settings, SettingsError, from_environment
from service.storage.store import Store

MakeClient = Callable[..., FlaskClient]
ANYWHERE = "0.0.0.0"  # noqa: S104 - what is listened on in a container


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


def _status(client: FlaskClient, host: str, path: str = "/v1/shapes") -> int:
    return client.get(path, environ_overrides={"HTTP_HOST": host}).status_code


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("localhost", 200),
        ("LOCALHOST:8080", 200),
        ("localhost.", 200),
        ("127.0.0.1:8080", 200),
        ("[::1]:8080", 200),
        ("[::1]", 200),
        ("rebound.example", 421),
        ("rebound.example:8080", 421),
        ("localhost.rebound.example", 421),
        ("127.0.0.1.rebound.example", 421),
        ("127.0.0.2", 421),
        ("192.0.2.7", 421),
        ("", 400),
        ("127.0.0.1, rebound.example", 400),
        ("user@localhost", 400),
        ("localhost:80:80", 400),
        ("[::1", 400),
    ],
)
def test_without_keys_only_names_of_this_machine_are_answered(
    make_client: MakeClient, host: str, status: int
) -> None:
    client = make_client()
    assert _status(client, host) == status
    # Nor does anything else tell a rebound page what it may not know.
    assert _status(client, host, "/healthz") == status
    if status != 200:
        assert _status(client, host, "/nowhere") == status
        answer = client.post("/v1/kits", json={}, environ_overrides={"HTTP_HOST": host})
        slug = {400: "bad-request", 421: "misdirected-request"}[status]
        assert answer.get_json()["type"] == f"/problems#{slug}"


def test_stated_names_are_answered_beside_those_of_this_machine(make_client: MakeClient) -> None:
    client = make_client(trusted_hosts=("Workroom.example", ".studio.example"))
    for host in ("workroom.example:8443", "a.studio.example", "localhost"):
        assert _status(client, host) == 200
    for host in ("studio.example", "astudio.example", "xworkroom.example"):
        assert _status(client, host) == 421


def test_the_address_that_is_listened_on_is_answered(make_client: MakeClient) -> None:
    assert _status(make_client(host="127.0.0.2"), "127.0.0.2:8080") == 200


def test_with_keys_any_name_is_answered_unless_some_are_stated(make_client: MakeClient) -> None:
    assert _status(make_client(auth="on"), "anything.example", "/healthz") == 200
    stated = make_client(auth="on", trusted_hosts=("workroom.example",))
    assert _status(stated, "anything.example", "/healthz") == 421


@pytest.mark.parametrize(
    ("origin", "status"),
    [
        (None, 200),
        ("http://localhost", 200),
        ("http://localhost:80", 200),
        ("https://LOCALHOST", 200),
        ("https://listed.example", 200),
        ("http://localhost:8081", 403),
        ("http://other.example", 403),
        ("http://localhost.other.example", 403),
        ("null", 403),
        ("", 403),
        ("http://[", 403),
        ("file://localhost", 403),
        ("http://localhost http://other.example", 403),
    ],
)
@pytest.mark.parametrize("site", [None, "same-origin"])
def test_what_changes_something_says_where_it_comes_from(
    make_client: MakeClient, origin: str | None, status: int, site: str | None
) -> None:
    client = make_client(cors_origins=("https://listed.example",))
    headers = {"Origin": origin, "Sec-Fetch-Site": site}
    stated = {name: value for name, value in headers.items() if value is not None}
    cutter = client.get("/v1/cutters/laser-bed").get_json()
    body = {name: cutter[name] for name in ("tool", "bed", "margins") if name in cutter}
    put = client.put("/v1/cutters/mine", json=body, headers=stated)
    expected = {put.status_code} - {403} if status == 200 else {403}
    assert put.status_code in expected
    # Reading is left to the browser: it shows no page of another site what it reads.
    assert client.get("/v1/shapes", headers=stated).status_code == 200


def test_a_page_behind_a_proxy_is_known_by_the_host_that_it_was_fetched_from(
    make_client: MakeClient,
) -> None:
    client = make_client(auth="on", trusted_proxies=1)
    sent = {"Origin": "https://studio.example", "X-Forwarded-Proto": "https"}
    answer = client.delete("/v1/kits/x", headers=sent, base_url="http://studio.example")
    assert answer.status_code != 403
    answer = client.delete("/v1/kits/x", headers=sent, base_url="http://api.example:8080")
    assert answer.status_code == 403


def test_keys_cannot_be_switched_off_where_others_reach(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path))
    monkeypatch.setenv("QUARTERSEAM_AUTH", "off")
    for more in ([], ["--check-config"]):
        assert main(["serve", "--host", ANYWHERE, *more]) == 2
        output = capsys.readouterr().err
        assert "QUARTERSEAM_AUTH=off" in output
        assert "127.0.0.1" in output
    assert main(["serve", "--check-config"]) == 0


def test_sockets_are_looked_at_and_not_only_settings() -> None:
    with socket.create_server(("127.0.0.1", 0)) as here, socket.create_server(("", 0)) as open_one:
        check_sockets(Settings(), [here])
        check_sockets(Settings(auth="on"), [open_one])
        with pytest.raises(SettingsError, match=ANYWHERE):
            check_sockets(Settings(), [here, open_one])


def test_the_first_start_makes_one_key_and_prints_it_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], make_client: MakeClient
) -> None:
    settings = Settings(data=tmp_path, host=ANYWHERE)
    first_key.ensure(settings)
    output = capsys.readouterr().out
    key = next(line.strip() for line in output.splitlines() if line.startswith("    "))
    client = make_client(host=ANYWHERE)
    bearer = {"Authorization": f"Bearer {key}"}
    assert client.get("/v1/kits", headers=bearer).status_code == 200
    first_key.ensure(settings)
    first_key.ensure(Settings(data=tmp_path))
    assert capsys.readouterr().out == ""
    # Another server that starts at the same moment finds that one is there.
    store = Store(settings)
    assert store.keys.add_first("write") is None
    store.keys.revoke("first")
    store.close()
    with pytest.raises(SettingsError, match="keys add"):
        first_key.ensure(settings)


def test_a_key_is_read_from_a_secret_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], make_client: MakeClient
) -> None:
    secret = tmp_path / "key"
    stated = {"QUARTERSEAM_KEY_FILE": str(secret), "QUARTERSEAM_DATA": str(tmp_path)}
    settings = from_environment({**stated, "QUARTERSEAM_HOST": ANYWHERE})
    client = make_client(host=ANYWHERE)

    def status(key: str) -> int:
        bearer = {"Authorization": f"Bearer {key}"}
        return client.get("/v1/kits", headers=bearer).status_code

    for text in ("", "short", "studio.tooshort", "a b." + "x" * 40, "n" * 13 + "." + "x" * 40):
        secret.write_text(text, encoding="ascii")
        with pytest.raises(SettingsError, match="openssl"):
            first_key.ensure(settings)
    one, two = "studio." + "x" * 40, "studio." + "y" * 40
    for key in (one, one, two):
        secret.write_text(key + "\n", encoding="ascii")
        first_key.ensure(settings)
        assert status(key) == 200
    # The file says which secret holds.
    assert status(one) == 401
    assert capsys.readouterr().out == ""
    store = Store(settings)
    store.keys.revoke("studio")
    store.close()
    with pytest.raises(SettingsError, match="revoked"):
        first_key.ensure(settings)
    secret.unlink()
    with pytest.raises(SettingsError, match="cannot be read"):
        first_key.ensure(settings)


def test_refused_keys_are_rated_and_take_nothing_from_those_who_have_one(
    make_client: MakeClient,
) -> None:
    client = make_client(
        host=ANYWHERE, refused_keys_per_minute=5, rate_per_minute=8, workers=1, trusted_proxies=1
    )
    store = client.application.extensions["quarterseam-store"]()
    one, two = (store.keys.add(name, "read") for name in ("one", "two"))

    def status(key: str | None, address: str = "192.0.2.7") -> int:
        headers = {"X-Forwarded-For": address}
        if key is not None:
            headers["Authorization"] = f"Bearer {key}"
        return client.get("/v1/shapes/kite", headers=headers).status_code

    assert [status(None if turn % 2 else "no.key") for turn in range(7)] == [401] * 5 + [429] * 2
    refused = client.get("/v1/shapes", headers={"X-Forwarded-For": "192.0.2.7"})
    assert int(refused.headers["Retry-After"]) >= 1
    # All have one address, as behind Docker's bridge; each key has its own rate.
    assert [status(one) for _ in range(9)] == [200] * 8 + [429]
    assert [status(two) for _ in range(9)] == [200] * 8 + [429]
    assert status(None, "192.0.2.8") == 401


def test_what_a_caller_says_of_itself_is_not_believed(make_client: MakeClient) -> None:
    client = make_client(host=ANYWHERE, refused_keys_per_minute=3, workers=1)
    found = [
        client.get("/v1/shapes", headers={"X-Forwarded-For": f"192.0.2.{turn}"}).status_code
        for turn in range(4)
    ]
    assert found == [401, 401, 401, 429]
    behind = make_client(host=ANYWHERE, refused_keys_per_minute=3, workers=1, trusted_proxies=1)
    # The proxy's own word is the last one.
    answers = [
        behind.get("/v1/shapes", headers={"X-Forwarded-For": f"192.0.2.{turn}, 198.51.100.1"})
        for turn in range(4)
    ]
    assert [each.status_code for each in answers] == [401, 401, 401, 429]


@pytest.mark.parametrize(
    ("address", "block"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("2001:db8:0:1:2::3", "2001:db8:0:1::/64"),
        ("2001:db8:0:1:ffff::", "2001:db8:0:1::/64"),
        ("2001:db8:0:2::", "2001:db8:0:2::/64"),
        ("", ""),
        ("a name", "a name"),
    ],
)
def test_what_ipv6_gives_one_site_counts_as_one_caller(address: str, block: str) -> None:
    # RFC 6177, section 2: a site is given a /64 or more.
    assert address_block(address) == block
