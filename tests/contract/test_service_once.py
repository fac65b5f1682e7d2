"""Idempotency-Key: the same request twice makes one kit, however the two meet."""

from __future__ import annotations

import re
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update

from service.storage.idempotency_keys import KEPT_US, Claim, ClaimLostError, RunningError, complete
from service.storage.store import Store
from service.storage.tables import CLAIMS

KEY = {"Idempotency-Key": "night-run-1"}


@pytest.fixture
def store(app: Flask) -> Any:
    return app.extensions["quarterseam-store"]()


def _key(name: str) -> dict[str, str]:
    return {"Idempotency-Key": name}


def _count(client: FlaskClient) -> int:
    return len(client.get("/v1/kits?limit=200").get_json()["kits"])


def test_the_same_request_gives_the_first_answer_again(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    first = client.post("/v1/kits", json=small_kit, headers=_key("first"))
    count = _count(client)
    again = client.post("/v1/kits", json=small_kit, headers=_key("first"))
    assert (again.status_code, again.data) == (201, first.data)
    assert again.headers["Location"] == first.headers["Location"]
    assert _count(client) == count
    zipped = client.post(
        "/v1/kits", json=small_kit, headers={**_key("first"), "Accept": "application/zip"}
    )
    assert zipped.data.startswith(b"PK")
    assert _count(client) == count


def test_another_key_or_none_makes_another_kit(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    count = _count(client)
    links = {
        client.post("/v1/kits", json=small_kit, headers=headers).headers["Location"]
        for headers in (_key("one"), _key("two"), {}, {})
    }
    assert len(links) == 4
    assert _count(client) == count + 4


@pytest.mark.parametrize("where", ["body", "resource"])
def test_a_key_is_for_one_request_only(
    client: FlaskClient, small_kit: dict[str, Any], where: str
) -> None:
    made = client.post("/v1/kits", json=small_kit, headers=_key(f"only-{where}"))
    if where == "body":
        small_kit["title"] = "Another"
        other = client.post("/v1/kits", json=small_kit, headers=_key(f"only-{where}"))
    else:
        other = client.post(
            made.headers["Location"] + "/recuts",
            json={"run": 1, "pieces": {"A": 1}},
            headers=_key(f"only-{where}"),
        )
    assert other.status_code == 422
    assert other.get_json()["type"] == "/problems#key-reused"


def test_a_recut_is_made_once_too(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    link = client.post("/v1/kits", json=small_kit).headers["Location"] + "/recuts"
    body = {"run": 1, "pieces": {"A": 1}}
    first = client.post(link, json=body, headers=_key("recut"))
    assert first.status_code == 201
    assert client.post(link, json=body, headers=_key("recut")).data == first.data


def test_errors_are_not_kept(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    wrong = {**small_kit, "pieces": []}
    assert client.post("/v1/kits", json=wrong, headers=_key("retry")).status_code == 422
    assert client.post("/v1/kits", json=small_kit, headers=_key("retry")).status_code == 201


def test_errors_of_the_computation_are_not_kept(
    client: FlaskClient, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError

    with monkeypatch.context() as patched:
        patched.setattr("service.kits.kit", broken)
        patched.setattr("service.sandbox.run.is_here", lambda **_: True)
        assert client.post("/v1/kits", json=small_kit, headers=_key("again")).status_code == 500
    assert client.post("/v1/kits", json=small_kit, headers=_key("again")).status_code == 201


@pytest.mark.parametrize("stated", ["", "with space", "x" * 256])
def test_a_key_that_cannot_be_one_is_refused(
    client: FlaskClient, small_kit: dict[str, Any], stated: str
) -> None:
    assert client.post("/v1/kits", json=small_kit, headers=_key(stated)).status_code == 400


def test_the_kit_of_a_key_that_was_deleted_is_not_made_anew(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    link = client.post("/v1/kits", json=small_kit, headers=_key("gone")).headers["Location"]
    client.delete(link)
    assert client.post("/v1/kits", json=small_kit, headers=_key("gone")).status_code == 404


def test_many_at_once_make_one_kit(app: Flask, small_kit: dict[str, Any]) -> None:
    def ask(_: int) -> tuple[int, str]:
        answer = app.test_client().post("/v1/kits", json=small_kit, headers=_key("crowd"))
        return answer.status_code, answer.headers.get("Location", "")

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(ask, range(16)))
    assert {status for status, _ in answers} <= {201, 409}
    assert len({link for status, link in answers if status == 201}) == 1


def test_a_claim_is_held_while_its_request_runs(store: Any) -> None:
    claim = store.claims.acquire("k1", "f")
    assert isinstance(claim, Claim)
    with pytest.raises(RunningError):
        store.claims.acquire("k1", "f")
    store.claims.release(claim)
    assert isinstance(store.claims.acquire("k1", "f"), Claim)


def test_a_claim_of_a_process_that_died_is_taken_over(
    store: Any,
    monkeypatch: pytest.MonkeyPatch,
    app: Flask,
    small_kit: dict[str, Any],
) -> None:
    dead = store.claims.acquire("k2", "f")
    # A server whose own clock is far ahead does not take a claim that is held.
    with monkeypatch.context() as patched:
        patched.setattr(time, "time_ns", lambda: 4_000_000_000_000_000_000)
        with pytest.raises(RunningError):
            store.claims.acquire("k2", "f")
    settings = app.config["SETTINGS"]
    longest_s = settings.compute_queue_timeout_seconds + settings.compute_seconds
    # A request that waited for its turn as long as it may is still being answered.
    _backdate(store, "k2", int(1_000_000 * (longest_s + 1)))
    with pytest.raises(RunningError):
        store.claims.acquire("k2", "f")
    _backdate(store, "k2", 61_000_000)
    assert isinstance(store.claims.acquire("k2", "f"), Claim)
    # The process considered dead comes back: it must not create a second kit.
    kit = app.test_client().post("/v1/kits", json=small_kit).get_json()
    store.claims.release(dead)
    with store.engine.begin() as connection, pytest.raises(ClaimLostError):
        complete(connection, dead, kit["id"])


def _backdate(store: Any, key: str | None, by_us: int) -> None:
    """Make claims look older to the database, whose clock alone counts."""
    change = update(CLAIMS).values(claimed_us=CLAIMS.c.claimed_us - by_us)
    with store.engine.begin() as connection:
        connection.execute(change if key is None else change.where(CLAIMS.c.key == key))


def test_a_key_is_forgotten_after_a_day(
    client: FlaskClient, small_kit: dict[str, Any], store: Any
) -> None:
    first = client.post("/v1/kits", json=small_kit, headers=_key("day"))
    _backdate(store, None, KEPT_US + 1_000_000)
    second = client.post("/v1/kits", json=small_kit, headers=_key("day"))
    assert second.status_code == 201
    assert second.headers["Location"] != first.headers["Location"]
    assert store.claims.purge(2 * KEPT_US) >= 1


def test_the_claims_of_an_ended_process_are_released_and_no_others(app: Flask) -> None:
    stores = [Store(app.config["SETTINGS"], owner=f"0123456789ab0000000{n}") for n in (1, 2)]
    try:
        dead, alive = stores
        assert isinstance(dead.claims.acquire("dead", "f"), Claim)
        assert isinstance(alive.claims.acquire("alive", "f"), Claim)
        assert alive.claims.release_of(["0123456789ab00000001", ""]) == 1
        assert alive.claims.release_of([]) == 0
        assert isinstance(alive.claims.acquire("dead", "f"), Claim)
        with pytest.raises(RunningError) as found:
            dead.claims.acquire("alive", "f")
        settings = app.config["SETTINGS"]
        longest_s = settings.compute_queue_timeout_seconds + settings.compute_seconds + 60
        assert 0 < found.value.free_in_s <= longest_s
    finally:
        for each in stores:
            each.claims.release_of([f"0123456789ab0000000{n}" for n in (1, 2)])
            each.close()


def test_a_key_that_is_held_says_when_it_is_free(
    client: FlaskClient, small_kit: dict[str, Any], store: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The first request ends without releasing, as in a process that is killed.
    monkeypatch.setattr(store.claims, "release", lambda _: None)
    wrong = {**small_kit, "pieces": [{**small_kit["pieces"][0], "quantity": 1}]}
    with monkeypatch.context() as patched:
        patched.setattr("service.views.kits._kept", _broken)
        assert client.post("/v1/kits", json=wrong, headers=_key("cut-off")).status_code == 500
    again = client.post("/v1/kits", json=wrong, headers=_key("cut-off"))
    assert (again.status_code, again.headers["Retry-After"]) == (409, "2")
    assert re.search(r"free again in at most [1-9][0-9]* seconds\.", again.get_json()["detail"])


def _broken(*_: object, **__: object) -> None:
    raise RuntimeError


def test_a_malformed_key_is_refused_where_it_has_no_effect_too(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    answer = client.post("/v1/layouts", json=small_kit, headers={"Idempotency-Key": "a b"})
    assert (answer.status_code, answer.get_json()["type"]) == (400, "/problems#bad-request")
