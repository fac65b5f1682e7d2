"""Callbacks of kits, jobs and batches: what is sent, when it is sent again, what is refused."""

from __future__ import annotations

import io
import json
import logging
import threading
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import delete, select, update
from werkzeug.test import TestResponse

from service.app import create_app
from service.cli import main
from service.jobs.caller import WAITS_S, Caller
from service.settings import Settings
from service.storage.job_sweep import sweep
from service.storage.tables import BATCHES, JOBS
from tests.receiver import SECRET, Receiver, receiving

ASYNC = {"Prefer": "respond-async"}


@pytest.fixture(scope="module")
def _receiver() -> Iterator[Receiver]:
    with receiving() as found:
        yield found


@pytest.fixture
def receiver(_receiver: Receiver) -> Receiver:
    _receiver.received.clear()
    _receiver.statuses.clear()
    _receiver.headers.clear()
    return _receiver


@pytest.fixture(scope="module")
def _app(tmp_path_factory: pytest.TempPathFactory, _receiver: Receiver) -> Iterator[Flask]:
    data = tmp_path_factory.mktemp("data")
    hosts = (_receiver.host, "hooks.example.org")
    made = create_app(Settings(data=data, compute_seconds=600, callback_hosts=hosts))
    yield made
    made.extensions["quarterseam-store"]().close()


@pytest.fixture
def app(_app: Flask) -> Flask:
    with _app.extensions["quarterseam-store"]().engine.begin() as connection:
        connection.execute(delete(JOBS))
        connection.execute(delete(BATCHES))
    return _app


@pytest.fixture
def call(app: Flask) -> Callable[[], int]:
    """Attempts everything that is due; returns how much that was."""
    store = app.extensions["quarterseam-store"]()
    caller = Caller(store, app.config["SETTINGS"], threading.Event())

    def attempt() -> int:
        count = 0
        while caller.call_next():
            count += 1
        return count

    return attempt


def _make_due(app: Flask) -> None:
    with app.extensions["quarterseam-store"]().engine.begin() as connection:
        connection.execute(update(JOBS).where(JOBS.c.kind == "callback").values(lease_us=0))


@pytest.fixture
def kit(small_kit: dict[str, Any], receiver: Receiver) -> dict[str, Any]:
    return {**small_kit, "reference": "ORDER 7", "callback": receiver.callback}


def _created(app: Flask, kit: dict[str, Any]) -> TestResponse:
    """Return the answer about a kit that is created at once."""
    response = app.test_client().post("/v1/kits", json=kit)
    assert response.status_code == 201, response.text
    return response


def _queued(client: FlaskClient, kit: dict[str, Any], path: str = "kits") -> str:
    """Return the address of the job that creates a kit, or another answer."""
    response = client.post(f"/v1/{path}", json=kit, headers=ASYNC)
    assert response.status_code == 202, response.text
    return response.headers["Location"]


def test_a_kit_calls_back(
    app: Flask, kit: dict[str, Any], receiver: Receiver, call: Callable[[], int]
) -> None:
    made = _created(app, kit)
    assert call() == 1
    assert call() == 0
    (came,) = receiver.received
    came.check()
    assert came.path == "/kits?shop=7"
    assert came.headers["content-type"] == "application/json"
    body, answer = json.loads(came.body), made.get_json()
    assert body["type"] == "kit.created"
    assert body["timestamp"] == answer["created_at"]
    assert body["data"] == {
        "id": answer["id"],
        "href": made.headers["Location"],
        "title": "Slipway sampler",
        "state": "created",
        "number": answer["number"],
        "reference": "ORDER 7",
        "kit": made.headers["Location"],
    }


def test_a_callback_changes_nothing_of_the_kit(
    app: Flask, kit: dict[str, Any], small_kit: dict[str, Any]
) -> None:
    client = app.test_client()
    plain = {**small_kit, "reference": "ORDER 7"}
    zips = [
        client.post("/v1/kits", json=body, headers={"Accept": "application/zip"}).data
        for body in (kit, plain)
    ]
    assert zips[0] == zips[1]
    whole = client.post("/v1/kits", json=kit).text
    assert SECRET not in whole
    assert "callback" not in whole
    for name in (found := zipfile.ZipFile(io.BytesIO(zips[0]))).namelist():
        assert SECRET.encode() not in found.read(name)


def test_a_repeated_request_calls_back_once(
    app: Flask, kit: dict[str, Any], receiver: Receiver, call: Callable[[], int]
) -> None:
    for _ in range(2):
        headers = {"Idempotency-Key": "once"}
        assert app.test_client().post("/v1/kits", json=kit, headers=headers).status_code == 201
    assert call() == 1
    assert len(receiver.received) == 1


def test_a_recut_calls_back(
    app: Flask, kit: dict[str, Any], receiver: Receiver, call: Callable[[], int]
) -> None:
    client = app.test_client()
    del kit["callback"]
    first = client.post("/v1/kits", json=kit).headers["Location"]
    body = {"run": 1, "pieces": {"A": 1}, "callback": receiver.callback}
    recut = client.post(f"{first}/recuts", json=body)
    assert recut.status_code == 201, recut.text
    call()
    (came,) = receiver.received
    assert came.data["href"] == recut.headers["Location"]
    # Its own number; the reference is that of the kit it is cut from.
    assert came.data["number"] == recut.get_json()["number"]
    assert came.data["reference"] == "ORDER 7"


@pytest.mark.parametrize("path", ["kits", "layouts"])
def test_a_job_calls_back(
    app: Flask,
    kit: dict[str, Any],
    receiver: Receiver,
    call: Callable[[], int],
    do_jobs: Callable[[Flask], int],
    path: str,
) -> None:
    client = app.test_client()
    link = _queued(client, kit, path)
    assert call() == 0
    assert "callback" not in client.get(link).get_json()
    do_jobs(app)
    assert call() == 1
    (came,) = receiver.received
    came.check()
    job = client.get(link).get_json()
    assert came.data["href"] == link
    assert came.data["state"] == job["state"] == "succeeded"
    assert came.data["reference"] == "ORDER 7"
    if path == "kits":
        assert came.data["kit"] == job["kit"]
        assert came.data["number"] == client.get(job["kit"]).get_json()["number"]
    else:
        assert came.data["result"] == job["result"]
        assert client.get(came.data["result"]).status_code == 200
    # Its delivery can be seen, and holds no secret; it is not listed among the jobs.
    delivery = client.get(job["callback"]).get_json()
    assert (delivery["kind"], delivery["state"], delivery["attempts"]) == ("callback", *_ONCE)
    assert came.headers["webhook-id"] == delivery["id"]
    assert "result" not in delivery
    assert client.get(f"{delivery['href']}/result").status_code == 404
    assert [each["href"] for each in client.get("/v1/jobs").get_json()["jobs"]] == [link]
    with app.extensions["quarterseam-store"]().engine.connect() as connection:
        rows = connection.execute(select(JOBS)).all()
    assert all(SECRET.encode() not in repr(row).encode() for row in rows)


_ONCE = ("succeeded", 1)


def test_a_job_that_fails_or_is_cancelled_calls_back(
    app: Flask,
    kit: dict[str, Any],
    receiver: Receiver,
    call: Callable[[], int],
    do_jobs: Callable[[Flask], int],
) -> None:
    client = app.test_client()
    too_large = {**kit, "pieces": [{**kit["pieces"][0], "shape": {"kind": "hexagon", "side": 30}}]}
    failed = _queued(client, too_large)
    do_jobs(app)
    cancelled = _queued(client, kit)
    assert client.delete(cancelled).get_json()["state"] == "cancelled"
    client.delete(cancelled)
    assert call() == 2
    assert [(each.data["href"], each.data["state"]) for each in receiver.received] == [
        (failed, "failed"),
        (cancelled, "cancelled"),
    ]
    assert all(each.data["reference"] == "ORDER 7" for each in receiver.received)
    assert all("kit" not in each.data for each in receiver.received)


def test_a_batch_calls_back_once_at_its_end(
    app: Flask,
    kit: dict[str, Any],
    receiver: Receiver,
    call: Callable[[], int],
    do_jobs: Callable[[Flask], int],
) -> None:
    client, callback = app.test_client(), kit.pop("callback")
    batch = {"title": "Class", "reference": "CLASS 3", "callback": callback}
    link = client.post("/v1/batches", json={**batch, "requests": [kit] * 3}).headers["Location"]
    store = app.extensions["quarterseam-store"]()
    with store.engine.connect() as connection:
        jobs = list(connection.execute(select(JOBS.c.id).order_by(JOBS.c.number)).scalars())
    # One of them is cancelled by itself, and is not the last.
    client.delete(f"/v1/jobs/{jobs[0]}")
    assert call() == 0
    do_jobs(app)
    assert call() == 1
    client.delete(link)
    assert call() == 0
    (came,) = receiver.received
    came.check()
    body = json.loads(came.body)
    assert body["type"] == "batch.ended"
    del body["data"]["id"]
    answer = client.get(link).get_json()
    assert body["data"] == {
        "href": link, "title": "Class", "state": "cancelled", "reference": "CLASS 3",
        "number": answer["number"],
    }  # fmt: skip
    assert answer["state"] == "cancelled"
    assert client.get(answer["callback"]).get_json()["state"] == "succeeded"


def test_a_cancelled_batch_calls_back(
    app: Flask, kit: dict[str, Any], receiver: Receiver, call: Callable[[], int]
) -> None:
    client, callback = app.test_client(), kit.pop("callback")
    batch = {"title": "Class", "requests": [kit, kit], "callback": callback}
    link = client.post("/v1/batches", json=batch).headers["Location"]
    client.delete(link)
    assert call() == 1
    assert receiver.received[0].data["state"] == "cancelled"


def test_a_failed_attempt_is_made_again_later(
    app: Flask,
    kit: dict[str, Any],
    receiver: Receiver,
    call: Callable[[], int],
    caplog: pytest.LogCaptureFixture,
) -> None:
    receiver.statuses[:] = [500, 302]
    receiver.headers["Location"] = f"{receiver.url}/elsewhere"
    _created(app, kit)
    with caplog.at_level(logging.WARNING):
        assert call() == 1
    (record,) = [each for each in caplog.records if "not delivered" in each.message]
    told = vars(record)
    assert told["why"] == "the host answered 500"
    assert told["host"] == receiver.host
    assert SECRET not in str(told)
    # 5 s, and up to a tenth more.
    assert 5 <= told["next_s"] <= 6
    metrics = app.test_client().get("/metrics").text
    assert "quarterseam_callbacks_waiting 1.0" in metrics
    # A job that waits for its callback only is no job that waits.
    assert "quarterseam_jobs_queued 0.0" in metrics
    for _ in range(2):
        _make_due(app)
        assert call() == 1
    # The redirect was not followed; every attempt has the same id and body, and its own signature.
    assert [each.path for each in receiver.received] == ["/kits?shop=7"] * 3
    assert len({each.headers["webhook-id"] for each in receiver.received}) == 1
    assert len({each.body for each in receiver.received}) == 1
    for each in receiver.received:
        each.check()
    assert "quarterseam_callbacks_waiting 0.0" in app.test_client().get("/metrics").text


def test_a_receiver_may_ask_to_wait_longer(
    app: Flask,
    kit: dict[str, Any],
    receiver: Receiver,
    call: Callable[[], int],
    caplog: pytest.LogCaptureFixture,
) -> None:
    receiver.statuses[:] = [503]
    receiver.headers["Retry-After"] = "1000"
    _created(app, kit)
    with caplog.at_level(logging.WARNING):
        call()
    waits = [vars(each)["next_s"] for each in caplog.records if "not delivered" in each.message]
    assert 1000 <= waits[0] <= 1100


@pytest.mark.parametrize("statuses", [[500] * 10, [410]])
def test_it_is_given_up_after_days_or_where_it_is_not_wanted(
    app: Flask,
    kit: dict[str, Any],
    receiver: Receiver,
    call: Callable[[], int],
    do_jobs: Callable[[Flask], int],
    caplog: pytest.LogCaptureFixture,
    statuses: list[int],
) -> None:
    """The schedule is that of the specification: ten attempts, 75 h 35 min 5 s in all."""
    assert sum(WAITS_S) == 75 * 3600 + 35 * 60 + 5
    receiver.statuses[:] = statuses
    client = app.test_client()
    link = _queued(client, kit)
    do_jobs(app)
    with caplog.at_level(logging.ERROR):
        for _ in statuses:
            _make_due(app)
            assert call() == 1
    _make_due(app)
    assert call() == 0
    assert len(receiver.received) == len(statuses)
    assert [each.message for each in caplog.records] == ["a callback was given up"]
    delivery = client.get(client.get(link).get_json()["callback"]).get_json()
    assert delivery["state"] == "failed"
    assert delivery["problem"]["type"] == "/problems#callback-failed"
    assert delivery["problem"]["detail"].endswith(f"the host answered {statuses[-1]}.")
    assert "quarterseam_callbacks_failed 1.0" in client.get("/metrics").text


def test_a_callback_can_be_cancelled(
    app: Flask,
    kit: dict[str, Any],
    receiver: Receiver,
    call: Callable[[], int],
    do_jobs: Callable[[Flask], int],
) -> None:
    client = app.test_client()
    link = _queued(client, kit)
    do_jobs(app)
    assert client.delete(client.get(link).get_json()["callback"]).status_code == 200
    assert call() == 0
    assert receiver.received == []


def test_a_worker_that_dies_before_it_calls_loses_nothing(
    app: Flask, kit: dict[str, Any], receiver: Receiver, call: Callable[[], int]
) -> None:
    """However often: a kit's job is tried three times, its callback until it has arrived."""
    store = app.extensions["quarterseam-store"]()
    _created(app, kit)
    for _ in range(5):
        assert store.callbacks.claim() is not None
        _make_due(app)
        assert sweep(store.jobs, b"{}") == []
    assert call() == 1
    assert len(receiver.received) == 1


def _refused(answer: Any) -> dict[str, str]:
    assert answer.status_code == 422, answer.text
    (error,) = answer.get_json()["errors"]
    return dict(error)


@pytest.mark.parametrize(
    ("url", "says"),
    [
        ("http://127.0.0.1:9/kits", "127.0.0.1:9 is not a host"),
        ("http://169.254.169.254/latest/meta-data/", "169.254.169.254 is not a host"),
        ("https://hooks.example.org:8443/", "hooks.example.org:8443 is not a host"),
        ("https://hooks.example.org.evil.example/", "evil.example is not a host"),
        ("https://HOOKS.example.org./", "hooks.example.org. is not a host"),
        ("https://hooks.example.org@evil.example/", "Leave out user"),
        ("https://hooks.example.org/#part", "Leave out the part"),
        ("ftp://hooks.example.org/", "This is a URL such as"),
        ("file:///etc/passwd", "This is a URL such as"),
        ("//hooks.example.org/", "This is a URL such as"),
        ("https://hooks.example.org:99999/", "This is a URL such as"),
        ("https://[::1/", "This is a URL such as"),
        ("https://hooks.example.org/a b", "printable ASCII"),
        ("https://hooks.example.org/\u00fc", "printable ASCII"),
    ],
)
def test_only_listed_hosts_are_called(app: Flask, kit: dict[str, Any], url: str, says: str) -> None:
    kit["callback"]["url"] = url
    for headers in ({}, ASYNC):
        error = _refused(app.test_client().post("/v1/kits", json=kit, headers=headers))
        assert error["pointer"] == "#/callback/url"
        assert says in error["detail"]


@pytest.mark.parametrize(
    "secret",
    ["", "C2FVsBQIhrscChlQIMV+b5sSYspob7oD", "whsec_short", "whsec_" + "A" * 92, "whsec_!" * 6],
)
def test_a_secret_has_24_to_64_bytes(app: Flask, kit: dict[str, Any], secret: str) -> None:
    kit["callback"]["secret"] = secret
    answer = app.test_client().post("/v1/kits", json=kit)
    assert _refused(answer)["pointer"] == "#/callback/secret"
    assert not secret or secret not in answer.text


def test_a_callback_stands_where_it_can_be_sent(
    app: Flask, kit: dict[str, Any], receiver: Receiver
) -> None:
    client = app.test_client()
    assert _refused(client.post("/v1/layouts", json=kit))["pointer"] == "#/callback"
    answer = client.post("/v1/batches", json={"requests": [kit]})
    assert _refused(answer)["pointer"] == "#/requests/0/callback"
    answer = client.post("/v1/batches", json={"request": kit})
    assert _refused(answer)["pointer"] == "#/request/callback"
    rubbish: list[Any] = ["https://hooks.example.org/", 7, [], {"url": receiver.url}]
    for wrong in [*rubbish, {"secret": SECRET}]:
        answer = client.post("/v1/kits", json={**kit, "callback": wrong})
        assert answer.status_code == 422, answer.text
        assert answer.get_json()["errors"][0]["pointer"].startswith("#/callback")


def test_nobody_is_called_unless_hosts_are_listed(
    tmp_path: Path, kit: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    closed = create_app(Settings(data=tmp_path / "data", compute_seconds=600))
    error = _refused(closed.test_client().post("/v1/kits", json=kit))
    assert "QUARTERSEAM_CALLBACK_HOSTS" in error["detail"]
    closed.extensions["quarterseam-store"]().close()
    # The command line calls nobody.
    (tmp_path / "kit.json").write_text(json.dumps(kit))
    assert main(["cut", str(tmp_path / "kit.json"), "--out", str(tmp_path / "out")]) != 0
    assert "#/callback" in capsys.readouterr().err
