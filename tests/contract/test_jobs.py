"""Jobs over HTTP: asked for, looked at, followed, cancelled; their leases and attempts."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import update

from service.app import create_app
from service.jobs.answers import DIED, problem_bytes
from service.jobs.runner import Runner
from service.jobs.worker import Worker
from service.kits.archive import with_archive
from service.sandbox import child
from service.settings import Settings
from service.storage.job_states import LeaseLostError, end
from service.storage.job_sweep import Delivery, sweep
from service.storage.jobs import MAX_ATTEMPTS
from service.storage.new_kits import new_kit
from service.storage.tables import JOBS
from service.tools.built_in import BUILT_IN
from tests.requested import kit

ASYNC = {"Prefer": "respond-async"}
DoJobs = Callable[[Flask], int]


@pytest.fixture
def make_app(tmp_path: Path) -> Iterator[Callable[..., Flask]]:
    made: list[Flask] = []

    def make(**settings: Any) -> Flask:
        made.append(create_app(Settings(data=tmp_path / f"data-{len(made)}", **settings)))
        return made[-1]

    yield make
    for fresh in made:
        fresh.extensions["quarterseam-store"]().close()


@pytest.fixture
def fresh(make_app: Callable[..., Flask]) -> Flask:
    return make_app()


def _store(fresh: Flask) -> Any:
    return fresh.extensions["quarterseam-store"]()


def _ask(fresh: Flask, body: dict[str, Any], path: str = "/v1/kits") -> dict[str, Any]:
    asked = fresh.test_client().post(path, json=body, headers=ASYNC)
    assert asked.status_code == 202, asked.get_data(as_text=True)
    return dict(asked.get_json())


def test_a_job_makes_the_kit_that_the_request_would_have_made(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs, fits: Callable[[Any, str], None]
) -> None:
    client = fresh.test_client()
    asked = client.post("/v1/kits", json=small_kit, headers=ASYNC)
    assert asked.status_code == 202
    assert asked.headers["Preference-Applied"] == "respond-async"
    job = asked.get_json()
    fits(job, "JobAnswer")
    assert (job["state"], job["progress"], job["attempts"]) == ("queued", 0.0, 0)
    assert asked.headers["Location"] == job["href"]
    assert client.get("/v1/kits").get_json()["kits"] == []
    assert do_jobs(fresh) == 1
    job = client.get(job["href"]).get_json()
    fits(job, "JobAnswer")
    assert (job["state"], job["progress"], job["attempts"]) == ("succeeded", 1.0, 1)
    direct = client.post("/v1/kits", json=small_kit)
    as_zip = {"Accept": "application/zip"}
    made, same = (client.get(each, headers=as_zip).data for each in (job["kit"], direct.location))
    assert made == same
    kit = client.get(job["kit"]).get_json()
    fits(kit, "KitAnswer")
    assert kit["created_at"] == job["created_at"]


def test_a_preview_can_be_a_job_too(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    job = _ask(fresh, small_kit, "/v1/layouts")
    early = client.get(f"{job['href']}/result")
    assert early.status_code == 409
    assert early.get_json()["state"] == "queued"
    do_jobs(fresh)
    job = client.get(job["href"]).get_json()
    result = client.get(job["result"])
    assert result.get_json() == client.post("/v1/layouts", json=small_kit).get_json()
    tag = {"If-None-Match": result.headers["ETag"]}
    assert client.get(job["result"], headers=tag).status_code == 304
    assert client.get("/v1/kits").get_json()["kits"] == []


@pytest.mark.parametrize(
    ("stated", "status"),
    [
        ("respond-async", 202),
        ("Respond-Async", 202),
        ("wait=10, respond-async", 202),
        ("respond-async; foo=1, handling=strict", 202),
        ('respond-async=""', 202),
        ("return=minimal", 201),
        ("respond-asynchronously", 201),
        ('foo="respond-async"', 201),
        ("", 201),
        (",;=", 201),
    ],
)
def test_preferences_are_read_as_rfc_7240_says(
    fresh: Flask, small_kit: dict[str, Any], stated: str, status: int
) -> None:
    answer = fresh.test_client().post("/v1/kits", json=small_kit, headers={"Prefer": stated})
    assert answer.status_code == status
    assert ("Preference-Applied" in answer.headers) == (status == 202)


def test_a_job_that_cannot_be_done_says_why(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs, fits: Callable[[Any, str], None]
) -> None:
    client = fresh.test_client()
    small_kit["pieces"][0]["shape"]["side"] = "90 in"
    direct = client.post("/v1/kits", json=small_kit).get_json()
    job = _ask(fresh, small_kit)
    do_jobs(fresh)
    job = client.get(job["href"]).get_json()
    fits(job, "JobAnswer")
    assert job["state"] == "failed"
    own = {"instance": job["href"], "request_id": job["problem"]["request_id"]}
    assert job["problem"] == direct | own
    assert "kit" not in job


def test_a_body_that_does_not_fit_is_refused_at_once(
    fresh: Flask, small_kit: dict[str, Any]
) -> None:
    small_kit["pieces"] = []
    client = fresh.test_client()
    assert client.post("/v1/kits", json=small_kit, headers=ASYNC).status_code == 422
    assert client.get("/v1/jobs").get_json()["jobs"] == []


def test_the_same_key_gives_the_same_job(fresh: Flask, small_kit: dict[str, Any]) -> None:
    client = fresh.test_client()
    headers = {**ASYNC, "Idempotency-Key": "night"}
    first, again = (client.post("/v1/kits", json=small_kit, headers=headers) for _ in range(2))
    assert first.get_json()["id"] == again.get_json()["id"]
    assert len(client.get("/v1/jobs").get_json()["jobs"]) == 1
    other = client.post("/v1/kits", json=small_kit, headers={"Idempotency-Key": "night"})
    assert other.status_code == 422
    assert other.get_json()["type"] == "/problems#key-reused"


def test_the_cutters_of_a_job_are_those_of_when_it_was_asked_for(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    cutter = client.get("/v1/cutters/laser-bed").get_json()["cutter"]
    client.put("/v1/cutters/mine", json=cutter)
    small_kit["runs"][0]["cutter"] = "mine"
    job = _ask(fresh, small_kit)
    client.put("/v1/cutters/mine", json=cutter | {"bed": {"width": "1 mm", "height": "1 mm"}})
    do_jobs(fresh)
    kit = client.get(client.get(job["href"]).get_json()["kit"]).get_json()
    assert kit["cutters"]["mine"]["version"] == 1


def test_jobs_are_listed_page_by_page(fresh: Flask, small_kit: dict[str, Any]) -> None:
    client = fresh.test_client()
    asked = [_ask(fresh, small_kit)["id"] for _ in range(5)]
    found: list[str] = []
    link = "/v1/jobs?limit=2"
    while link:
        page = client.get(link).get_json()
        found += [job["id"] for job in page["jobs"]]
        link = page.get("next", "")
    assert found == asked[::-1]
    for wrong in ("x", "bm8", "MSAy"):
        assert client.get(f"/v1/jobs?after={wrong}").status_code == 422


def test_no_more_jobs_wait_than_may(
    make_app: Callable[..., Flask], small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    fresh = make_app(max_queued_jobs=2)
    for _ in range(2):
        _ask(fresh, small_kit)
    refused = fresh.test_client().post("/v1/kits", json=small_kit, headers=ASYNC)
    assert refused.status_code == 503
    assert refused.get_json()["type"] == "/problems#busy"
    assert "Retry-After" in refused.headers
    do_jobs(fresh)
    _ask(fresh, small_kit)


def test_a_job_that_waits_is_cancelled_at_once(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    job = _ask(fresh, small_kit)
    response = client.delete(job["href"])
    assert (response.status_code, response.get_json()["state"]) == (200, "cancelled")
    assert do_jobs(fresh) == 0
    assert client.delete(job["href"]).get_json()["state"] == "cancelled"
    assert _store(fresh).jobs.claim(job["id"]) is None


def _endless(seconds: float, *_: Any, progress: Any) -> None:
    """A task that no Python signal could stop: it stays in one call of a C library."""
    del seconds
    progress(0.25, "in one long call")
    re.match(r"(a+)+$", "a" * 40 + "b")


def _run(fresh: Flask, job_id: str, **settings: Any) -> Any:
    work = _store(fresh).jobs.claim(job_id)
    changed = Settings(data=fresh.config["SETTINGS"].data, **settings)
    runner = Runner(_store(fresh), changed, threading.Event())
    thread = threading.Thread(target=runner.run, args=(work,))
    thread.start()
    return work, thread


def test_a_running_job_is_cancelled_within_native_code(
    fresh: Flask, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.jobs.runner.job_of", lambda *_: _endless)
    client = fresh.test_client()
    job = _ask(fresh, small_kit)
    _, thread = _run(fresh, job["id"])
    while client.get(job["href"]).get_json()["phase"] != "in one long call":
        assert thread.is_alive()
        time.sleep(0.05)
    assert client.get(job["href"]).get_json()["progress"] == 0.25
    response = client.delete(job["href"])
    assert (response.status_code, response.get_json()["state"]) == (202, "running")
    thread.join(600)
    assert not thread.is_alive()
    assert client.get(job["href"]).get_json()["state"] == "cancelled"


def test_a_job_past_its_time_is_stopped_within_native_code(
    fresh: Flask, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.jobs.runner.job_of", lambda *_: _endless)
    job = _ask(fresh, small_kit)
    _, thread = _run(fresh, job["id"], job_seconds=1)
    thread.join(300)
    payload = fresh.test_client().get(job["href"]).get_json()
    assert payload["state"] == "failed"
    assert payload["problem"]["type"] == "/problems#took-too-long"
    assert "1 second " in payload["problem"]["detail"]


def _dies(*_: Any, progress: Any) -> None:
    import os

    del progress
    os._exit(7)


def test_a_child_that_dies_fails_its_job_and_is_not_tried_again(
    fresh: Flask, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.jobs.runner.job_of", lambda *_: _dies)
    job = _ask(fresh, small_kit)
    _, thread = _run(fresh, job["id"])
    thread.join(300)
    payload = fresh.test_client().get(job["href"]).get_json()
    assert (payload["state"], payload["attempts"]) == ("failed", 1)
    assert payload["problem"]["type"] == "/problems#computation-died"


def _lapse(fresh: Flask) -> None:
    with _store(fresh).engine.begin() as connection:
        connection.execute(update(JOBS).values(lease_us=1))


def _sweep(fresh: Flask) -> list[Delivery]:
    return sweep(_store(fresh).jobs, problem_bytes(DIED, "", ""))


def test_a_late_worker_writes_nothing(fresh: Flask, small_kit: dict[str, Any]) -> None:
    jobs = _store(fresh).jobs
    job = _ask(fresh, small_kit)
    late = jobs.claim(job["id"])
    assert jobs.claim(job["id"]) is None
    _lapse(fresh)
    assert _sweep(fresh) == [Delivery("job", job["id"])]
    assert _sweep(fresh) == []
    now = jobs.claim(job["id"])
    assert (late.attempts, now.attempts) == (1, 2)
    assert jobs.heartbeat(late, 0.9, "late") == "lost"
    with pytest.raises(LeaseLostError):
        jobs.end(late, "failed", b"{}")
    assert jobs.release(late) is False
    # Nor does it spoil the kit that the other one is making under the same name.
    stopping = threading.Event()
    runner = Runner(_store(fresh), fresh.config["SETTINGS"], stopping)
    runner.run(now)
    runner.run(late)
    payload = fresh.test_client().get(job["href"]).get_json()
    assert (payload["state"], payload["attempts"]) == ("succeeded", 2)
    as_zip = {"Accept": "application/zip"}
    made = fresh.test_client().get(payload["kit"], headers=as_zip).data
    # Not even one that makes it otherwise, as a later version might.
    bundle = with_archive(kit(small_kit | {"title": "Otherwise"}, BUILT_IN.get).bundle)
    other = new_kit(bundle, late.kit_id, late.created_us)
    with pytest.raises(LeaseLostError):
        _store(fresh).kits.save(other, also=lambda c: end(c, late, "succeeded"), again=True)
    assert fresh.test_client().get(payload["kit"], headers=as_zip).data == made


def test_a_job_whose_worker_always_dies_is_given_up(
    fresh: Flask, small_kit: dict[str, Any]
) -> None:
    jobs = _store(fresh).jobs
    job = _ask(fresh, small_kit)
    messages = None
    for turn in range(MAX_ATTEMPTS):
        work = jobs.claim(job["id"])
        assert work.attempts == turn + 1
        _lapse(fresh)
        messages = _sweep(fresh)
    assert messages == []
    payload = fresh.test_client().get(job["href"]).get_json()
    assert (payload["state"], payload["attempts"]) == ("failed", MAX_ATTEMPTS)
    assert payload["problem"]["type"] == "/problems#worker-died"


def test_a_message_that_could_not_be_sent_makes_no_job_wait_longer(
    fresh: Flask, small_kit: dict[str, Any]
) -> None:
    store = _store(fresh)
    first, second = (_ask(fresh, small_kit)["id"] for _ in range(2))
    worker = Worker(fresh.config["SETTINGS"])
    worker._store = store
    sent: list[Delivery] = []
    away = [True]

    def deliver(message: Delivery) -> bool:
        if not away[0]:
            sent.append(message)
        return not away[0]

    worker._sender.deliver = deliver  # type: ignore[method-assign]
    _lapse(fresh)
    for _ in range(20):
        # The queue is away for twenty sweeps.
        worker._sweep()
    away[0] = False
    worker._sweep()
    assert {message.id for message in sent} == {first, second}
    worker._sweep()
    assert len(sent) == 2


def test_tries_that_were_given_back_do_not_count(fresh: Flask, small_kit: dict[str, Any]) -> None:
    jobs = _store(fresh).jobs
    job = _ask(fresh, small_kit)
    for _ in range(MAX_ATTEMPTS + 1):
        assert jobs.release(jobs.claim(job["id"]))
    jobs.claim(job["id"])
    _lapse(fresh)
    assert _sweep(fresh) == [Delivery("job", job["id"])]


def test_a_cancelled_job_whose_worker_died_ends_as_cancelled(
    fresh: Flask, small_kit: dict[str, Any]
) -> None:
    job = _ask(fresh, small_kit)
    _store(fresh).jobs.claim(job["id"])
    fresh.test_client().delete(job["href"])
    _lapse(fresh)
    assert _sweep(fresh) == []
    assert fresh.test_client().get(job["href"]).get_json()["state"] == "cancelled"


def test_a_lease_further_off_than_any_is_no_lease(fresh: Flask, small_kit: dict[str, Any]) -> None:
    # As one is that was given before the clock was set back.
    job = _ask(fresh, small_kit)
    _store(fresh).jobs.claim(job["id"])
    assert _sweep(fresh) == []
    with _store(fresh).engine.begin() as connection:
        connection.execute(update(JOBS).values(lease_us=JOBS.c.lease_us + 3600 * 1_000_000))
    assert _sweep(fresh) == [Delivery("job", job["id"])]


def _events(text: str) -> list[dict[str, str]]:
    return [
        dict(line.split(": ", 1) for line in block.splitlines())
        for block in text.strip().split("\n\n")
    ]


def test_an_ended_job_tells_its_end_once(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    job = _ask(fresh, small_kit)
    do_jobs(fresh)
    stream = client.get(job["events"])
    assert stream.content_type == "text/event-stream"
    assert stream.headers["Cache-Control"] == "no-store"
    first, last = _events(stream.get_data(as_text=True))
    assert first == {"retry": "2000"}
    assert last["event"] == "ended"
    assert client.get(job["href"]).get_data(as_text=True) == last["data"]
    again = client.get(job["events"], headers={"Last-Event-ID": last["id"]})
    assert (again.status_code, again.data) == (204, b"")
    odd = client.get(job["events"], headers={"Last-Event-ID": "nonsense"}, buffered=True)
    assert odd.status_code == 200


def test_only_some_may_follow_at_once(
    make_app: Callable[..., Flask], small_kit: dict[str, Any]
) -> None:
    fresh = make_app(threads=5)
    job = _ask(fresh, small_kit)
    followed = [fresh.test_client().get(job["events"]) for _ in range(2)]
    for stream in followed:
        assert next(iter(stream.response)) == b"retry: 2000\n\n"
    refused = fresh.test_client().get(job["events"])
    assert refused.status_code == 503
    assert refused.get_json()["type"] == "/problems#too-many-streams"
    assert refused.get_json()["most"] == 2
    followed[0].close()
    fresh.test_client().get(job["events"]).close()
    # A server that is about to end lets go of those who follow.
    fresh.extensions["quarterseam-closing"].set()
    parts = list(followed[1].response)
    assert len(parts) == 1
    followed[1].close()


def test_a_child_reports_and_is_stopped_when_told() -> None:
    heard: list[tuple[float, str]] = []

    def watch(done: float, phase: str) -> bool:
        heard.append((done, phase))
        return phase == ""

    with pytest.raises(child.StoppedError) as stopped:
        child.run(_endless, (0.0,), seconds=30, memory_bytes=1 << 30, watch=watch)
    assert stopped.value.why == "watcher"
    assert heard[-1] == (0.25, "in one long call")
