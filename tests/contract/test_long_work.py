"""Recuts and quilt plans as jobs, and what is left of a kit that is deleted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from tests.receiver import Receiver, receiving

ASYNC = {"Prefer": "respond-async"}
PLAN: dict[str, Any] = {
    "title": "Beacon cushion",
    "units": "in",
    "tiling": "square",
    "side": "2",
    "seam_allowance": "1/4",
    "quilt": {"width": 8, "length": 8},
}
DoJobs = Callable[[Flask], int]


@pytest.fixture(scope="module")
def receiver() -> Iterator[Receiver]:
    with receiving() as found:
        yield found


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory, receiver: Receiver) -> Iterator[Flask]:
    data = tmp_path_factory.mktemp("data")
    made = create_app(Settings(data=data, compute_seconds=600, callback_hosts=(receiver.host,)))
    yield made
    made.extensions["quarterseam-store"]().close()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def stored(client: FlaskClient, small_kit: dict[str, Any]) -> dict[str, Any]:
    """Return a stored kit."""
    made = client.post("/v1/kits", json={**small_kit, "reference": "ORDER 7"})
    assert made.status_code == 201, made.text
    return dict(made.get_json())


def _submitted(client: FlaskClient, path: str, body: dict[str, Any], **headers: str) -> str:
    answer = client.post(path, json=body, headers={**ASYNC, **headers})
    assert answer.status_code == 202, answer.text
    assert answer.headers["Preference-Applied"] == "respond-async"
    link = str(answer.headers["Location"])
    assert answer.get_json()["href"] == link
    return link


def _job(client: FlaskClient, link: str) -> dict[str, Any]:
    answer = client.get(link)
    assert answer.status_code == 200, answer.text
    return dict(answer.get_json())


def _without(kit: dict[str, Any]) -> dict[str, Any]:
    """Return a kit's answer without its id, its time and its links."""
    text = {"id", "created_at", "run_sheet", "run_sheet_page", "labels", "cutting_list", "runs"}
    return {name: value for name, value in kit.items() if name not in text}


def test_a_recut_is_a_job_if_that_is_preferred(
    app: Flask, client: FlaskClient, stored: dict[str, Any], do_jobs: DoJobs
) -> None:
    """The kit of the job is that of the same request without it."""
    path, body = f"/v1/kits/{stored['id']}/recuts", {"run": 1, "pieces": {"A": 1}}
    link = _submitted(client, path, body)
    assert _job(client, link)["kind"] == "recut"
    assert _job(client, link)["title"] == f"Recut, 1 of A: {stored['title']}"
    assert do_jobs(app) == 1
    job = _job(client, link)
    assert (job["state"], job["progress"]) == ("succeeded", 1.0)
    kit = client.get(job["kit"]).get_json()
    assert kit["recut_of"] == stored["id"]
    at_once = client.post(path, json=body).get_json()
    assert _without(kit) == _without(at_once)
    assert client.get(f"{link}/result").status_code == 404


def test_loads_are_cut_again_as_a_job(
    app: Flask, client: FlaskClient, stored: dict[str, Any], do_jobs: DoJobs
) -> None:
    """Load 1 twice: the four hexagons lie on it, so eight are cut."""
    body = {"run": 1, "loads": {"1": 2}, "reference": "ORDER 8"}
    link = _submitted(client, f"/v1/kits/{stored['id']}/recuts", body)
    do_jobs(app)
    kit = client.get(_job(client, link)["kit"]).get_json()
    assert kit["runs"][0]["totals"]["A"]["made"] == 8
    assert kit["reference"] == "ORDER 8"


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"run": 2, "pieces": {"A": 1}}, "#/run"),
        ({"run": 1, "pieces": {"B": 1}}, "#/pieces/B"),
        ({"run": 1, "loads": {"9": 1}}, "#/loads/9"),
        (
            {
                "run": 1,
                "pieces": {"A": 1},
                "material": {"name": "s", "width": "5 mm", "height": "5 mm"},
            },
            "#/material",
        ),
    ],
)
def test_a_recut_that_cannot_be_made_fails_with_pointers_into_its_body(
    app: Flask,
    client: FlaskClient,
    stored: dict[str, Any],
    do_jobs: DoJobs,
    body: dict[str, Any],
    pointer: str,
) -> None:
    """Its job has the problem that the request without one is answered with."""
    path = f"/v1/kits/{stored['id']}/recuts"
    link = _submitted(client, path, body)
    do_jobs(app)
    job = _job(client, link)
    assert job["state"] == "failed"
    at_once = client.post(path, json=body)
    assert at_once.status_code == 422
    assert job["problem"]["errors"] == at_once.get_json()["errors"]
    assert job["problem"]["errors"][0]["pointer"] == pointer


def test_what_is_no_recut_is_refused_at_once(client: FlaskClient, stored: dict[str, Any]) -> None:
    path = f"/v1/kits/{stored['id']}/recuts"
    wrong: list[Any] = [
        {},
        {"run": 1},
        {"run": 0, "pieces": {"A": 1}},
        [],
        {"run": 1, "pieces": "A"},
    ]
    for body in wrong:
        answer = client.post(path, json=body, headers=ASYNC)
        assert answer.status_code == 422, answer.text
    nowhere = "/v1/kits/00000000-0000-4000-8000-000000000000/recuts"
    assert (
        client.post(nowhere, json={"run": 1, "pieces": {"A": 1}}, headers=ASYNC).status_code == 404
    )


def test_a_kit_that_is_deleted_before_its_recut_begins(
    app: Flask, client: FlaskClient, stored: dict[str, Any], do_jobs: DoJobs
) -> None:
    body = {"run": 1, "pieces": {"A": 1}}
    link = _submitted(client, f"/v1/kits/{stored['id']}/recuts", body)
    assert client.delete(f"/v1/kits/{stored['id']}").status_code == 204
    do_jobs(app)
    job = _job(client, link)
    assert (job["state"], job["problem"]["status"]) == ("failed", 404)
    assert "deleted" in job["problem"]["detail"]


def test_a_plan_is_a_job_if_that_is_preferred(
    app: Flask, client: FlaskClient, do_jobs: DoJobs, fits: Callable[[Any, str], None]
) -> None:
    """Its result is the plan that the same request without the preference answers."""
    link = _submitted(client, "/v1/quilt-plans", PLAN)
    waiting = client.get(f"{link}/result")
    assert waiting.status_code == 409
    assert do_jobs(app) == 1
    job = _job(client, link)
    assert (job["kind"], job["title"], job["state"]) == (
        "quilt_plan",
        "Beacon cushion",
        "succeeded",
    )
    assert "kit" not in job
    plan = client.get(job["result"]).get_json()
    fits(plan, "QuiltPlanAnswer")
    assert plan == client.post("/v1/quilt-plans", json=PLAN).get_json()


@pytest.mark.without_nester
def test_a_plan_that_names_what_is_saved_keeps_it(
    app: Flask, client: FlaskClient, do_jobs: DoJobs
) -> None:
    """A price list that changes before the job begins changes nothing of its plan."""
    prices = {"currency": "EUR", "materials": [{"name": "card", "per_sheet": "0.20"}]}
    client.put("/v1/price-lists/strand", json=prices)
    block = {"name": "ohio-star", "size": "6"}
    size = {"width": 6, "length": 6}
    plan = {"units": "in", "block": block, "quilt": size, "prices": "strand"}
    link = _submitted(client, "/v1/quilt-plans", plan)
    client.put("/v1/price-lists/strand", json={**prices, "currency": "USD"})
    do_jobs(app)
    found = client.get(_job(client, link)["result"]).get_json()
    assert found["quote"]["currency"] == "EUR"
    assert found["totals"]["pieces"] == 21


def test_one_key_is_one_plan(app: Flask, client: FlaskClient, do_jobs: DoJobs) -> None:
    key = {"Idempotency-Key": "beacon-1"}
    first = _submitted(client, "/v1/quilt-plans", PLAN, **key)
    assert _submitted(client, "/v1/quilt-plans", PLAN, **key) == first
    do_jobs(app)


def test_a_plan_that_cannot_be_made_fails_with_pointers(
    app: Flask, client: FlaskClient, do_jobs: DoJobs
) -> None:
    """Pieces of 5 in make no quilt of at most 4 in."""
    body = {**PLAN, "side": "5", "quilt": {"width": 4, "length": 8}, "fit": "smaller"}
    link = _submitted(client, "/v1/quilt-plans", body)
    do_jobs(app)
    problem = _job(client, link)["problem"]
    assert [each["pointer"] for each in problem["errors"]] == ["#/quilt/width"]
    assert client.post("/v1/quilt-plans", json={}, headers=ASYNC).status_code == 422


def test_plans_call_back_as_jobs_only(
    app: Flask, client: FlaskClient, receiver: Receiver, do_jobs: DoJobs
) -> None:
    """The callback has the plan's reference, which its kit has too."""
    body = {**PLAN, "reference": "ORDER 9", "callback": receiver.callback}
    refused = client.post("/v1/quilt-plans", json=body)
    assert [each["pointer"] for each in refused.get_json()["errors"]] == ["#/callback"]
    elsewhere = {**body, "callback": {**receiver.callback, "url": "https://example.org/"}}
    refused = client.post("/v1/quilt-plans", json=elsewhere, headers=ASYNC)
    assert [each["pointer"] for each in refused.get_json()["errors"]] == ["#/callback/url"]
    link = _submitted(client, "/v1/quilt-plans", body)
    do_jobs(app)
    job = _job(client, link)
    assert client.get(job["callback"]).get_json()["kind"] == "callback"
    assert client.get(job["result"]).get_json()["kit"]["reference"] == "ORDER 9"
    client.delete(job["callback"])


def test_a_sheet_to_print_comes_at_once(client: FlaskClient) -> None:
    """A preference is no demand (RFC 7240): the printed sheet is no job."""
    answer = client.post(
        "/v1/quilt-plans", json=PLAN, headers={**ASYNC, "Accept": "application/pdf"}
    )
    assert (answer.status_code, answer.content_type) == (200, "application/pdf")


def test_a_deleted_kit_leaves_no_dead_row(
    app: Flask, client: FlaskClient, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    """Of three kits of a batch the second is deleted: two are listed, and no link is dead."""
    body = {"requests": [small_kit] * 3}
    link = client.post("/v1/batches", json=body).headers["Location"]
    do_jobs(app)
    kits = client.get(link).get_json()["kits"]
    gone = kits[1]
    assert client.delete(gone["kit"]).status_code == 204
    pages, following = [], f"{link}?limit=1"
    while following:
        page = client.get(following).get_json()
        pages += page["kits"]
        following = page.get("next")
    assert pages == [kits[0], kits[2]]
    assert all(client.get(each["kit"]).status_code == 200 for each in pages)
    job = _job(client, gone["job"])
    assert job["state"] == "succeeded"
    assert "kit" not in job
    assert "result" not in job
    alone = _submitted(client, "/v1/kits", small_kit)
    do_jobs(app)
    client.delete(_job(client, alone)["kit"])
    listed = client.get("/v1/jobs").get_json()["jobs"]
    assert "kit" not in next(each for each in listed if each["href"] == alone)
