"""Batches over HTTP: counted, expanded, made, listed as they come, handed out as one zip."""

from __future__ import annotations

import copy
import io
import json
import tracemalloc
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service.app import create_app
from service.batches.bundle import stream
from service.batches.expand import BatchSource, sized
from service.settings import Settings
from service.storage.job_sweep import Delivery, sweep

DoJobs = Callable[[Flask], int]


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[Flask]:
    made = create_app(Settings(data=tmp_path / "data", batch_kits=50))
    yield made
    made.extensions["quarterseam-store"]().close()


def _store(app: Flask) -> Any:
    return app.extensions["quarterseam-store"]()


def _ask(app: Flask, body: dict[str, Any]) -> dict[str, Any]:
    asked = app.test_client().post("/v1/batches", json=body)
    assert asked.status_code == 202, asked.get_data(as_text=True)
    payload = dict(asked.get_json())
    assert asked.headers["Location"] == payload["href"]
    return payload


def _too_large(kit: dict[str, Any]) -> dict[str, Any]:
    kit = copy.deepcopy(kit)
    kit["pieces"][0]["shape"] = {"kind": "hexagon", "side": "90 in"}
    return kit


def test_whole_requests_are_made_as_if_each_was_sent_alone(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs, fits: Callable[[Any, str], None]
) -> None:
    client = fresh.test_client()
    bodies = [small_kit | {"title": f"Quay {n}"} for n in range(3)]
    payload = _ask(fresh, {"title": "Quays", "requests": bodies})
    fits(payload, "BatchSummary")
    assert (payload["state"], payload["total"], payload["counts"]["queued"]) == ("queued", 3, 3)
    assert do_jobs(fresh) == 3
    payload = client.get(payload["href"]).get_json()
    fits(payload, "BatchAnswer")
    assert (payload["state"], payload["progress"], payload["counts"]["succeeded"]) == (
        "ended",
        1.0,
        3,
    )
    as_zip = {"Accept": "application/zip"}
    for kit, body in zip(payload["kits"], bodies, strict=True):
        direct = client.post("/v1/kits", json=body).location
        assert (
            client.get(kit["kit"], headers=as_zip).data == client.get(direct, headers=as_zip).data
        )
        assert client.get(kit["job"]).get_json()["batch"] == payload["href"]
    # Jobs of a batch are listed with it.
    assert client.get("/v1/jobs").get_json()["jobs"] == []


SIZES = [{"side": "20 mm"}, {"side": "1 1/4 in"}]
SHAPES = [{"kind": "hexagon", "across_flats": "2 in"}, {"kind": "square", "side": "2 in"}]
CUTTERS = ["drag-blade-sheet", "laser-bed"]


def test_lists_make_a_kit_for_every_one_of_each(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    payload = _ask(
        fresh, {"request": small_kit, "shapes": SHAPES, "sizes": SIZES, "cutters": CUTTERS}
    )
    assert payload["total"] == 8
    do_jobs(fresh)
    kits = client.get(payload["href"]).get_json()["kits"]
    made = [client.get(kit["kit"]).get_json()["request"] for kit in kits]
    found = [
        (body["pieces"][0]["shape"], body["runs"][0]["cutter"], body["title"]) for body in made
    ]
    assert found == [
        (
            {"kind": shape["kind"], **size},
            cutter,
            f"Slipway sampler: {shape['kind']}, side {size['side']}, {cutter}",
        )
        for shape in SHAPES
        for size in SIZES
        for cutter in CUTTERS
    ]


def test_lists_are_for_the_pieces_and_runs_that_are_named() -> None:
    base: dict[str, Any] = {
        "pieces": [
            {"id": "A", "shape": {"kind": "square", "side": "1 in"}},
            {"id": "B", "shape": {"kind": "square", "side": "1 in"}},
        ],
        "runs": [{"cut": "patch", "cutter": "x"}, {"cut": "template", "cutter": "x"}],
    }
    source = BatchSource({}, base=base, sizes=SIZES, choices=["y"], pieces=["B"], runs=[1])
    assert source.count == 2
    made = source.request(1)
    assert [piece["shape"]["side"] for piece in made["pieces"]] == ["1 in", "1 1/4 in"]
    assert [run["cutter"] for run in made["runs"]] == ["x", "y"]
    assert base["pieces"][1]["shape"] == {"kind": "square", "side": "1 in"}


def test_a_batch_gives_its_reference_to_kits_that_have_none(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    own = {**small_kit, "reference": "ORDER 3"}
    payload = _ask(fresh, {"reference": "ORDER 2", "requests": [small_kit, own]})
    assert payload["reference"] == "ORDER 2"
    do_jobs(fresh)
    for order in ("ORDER 2", "ORDER 3"):
        (kit,) = client.get("/v1/kits", query_string={"reference": order}).get_json()["kits"]
        assert client.get(kit["href"]).get_json()["reference"] == order
    # Only the batch's own counts for batches.
    found = client.get("/v1/batches?reference=ORDER%202&limit=1").get_json()["batches"]
    assert [each["id"] for each in found] == [payload["id"]]
    assert client.get("/v1/batches?reference=ORDER%203").get_json()["batches"] == []


def test_a_new_size_takes_the_place_of_the_old_one() -> None:
    shape = {"kind": "hexagon", "across_corners": "2 in"}
    assert sized(shape, {"side": "1 in"}) == {"kind": "hexagon", "side": "1 in"}


FAULTS: list[tuple[dict[str, Any], list[str]]] = [
    ({}, ["#"]),
    ({"requests": "kit", "request": "kit"}, ["#"]),
    ({"requests": "kit", "sizes": SIZES, "runs": [1]}, ["#/sizes", "#/runs"]),
    (
        {"request": "kit", "pieces": ["A", "Z"], "runs": [1, 7], "cutters": ["laser-bed", "no"]},
        ["#/pieces/1", "#/runs/1", "#/cutters/1"],
    ),
    ({"request": "kit", "sizes": [*SIZES, {"rounds": "3"}, {}]}, ["#/sizes/2", "#/sizes/3"]),
    (
        {
            "request": "kit",
            "shapes": [{"kind": "custom", "points": [[0, 0], [1, 0], [0, 1]]}],
            "sizes": SIZES[:1],
        },
        ["#/sizes/0"],
    ),
]


@pytest.mark.parametrize(("body", "pointers"), FAULTS)
def test_every_fault_is_told_before_anything_is_begun(
    fresh: Flask, small_kit: dict[str, Any], body: dict[str, Any], pointers: list[str]
) -> None:
    body = dict(body)
    if "request" in body:
        body["request"] = small_kit
    if "requests" in body:
        body["requests"] = [small_kit]
    answer = fresh.test_client().post("/v1/batches", json=body)
    assert answer.status_code == 422
    payload = answer.get_json()
    assert payload["type"] == "/problems#invalid-request"
    assert [fault["pointer"] for fault in payload["errors"]] == pointers
    assert fresh.test_client().get("/v1/batches").get_json()["batches"] == []


def test_a_batch_of_too_many_kits_is_counted_and_refused(
    fresh: Flask, small_kit: dict[str, Any]
) -> None:
    sizes = [{"side": f"{20 + n} mm"} for n in range(26)]
    answer = fresh.test_client().post(
        "/v1/batches", json={"request": small_kit, "sizes": sizes, "cutters": CUTTERS}
    )
    assert answer.status_code == 422
    payload = answer.get_json()
    assert payload["type"] == "/problems#batch-too-large"
    assert (payload["count"], payload["most"]) == (52, 50)


def test_failures_are_kept_apart_and_the_rest_is_made(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs, fits: Callable[[Any, str], None]
) -> None:
    client = fresh.test_client()
    bodies = [small_kit, _too_large(small_kit), small_kit, _too_large(small_kit)]
    payload = _ask(fresh, {"requests": bodies})
    do_jobs(fresh)
    payload = client.get(payload["href"]).get_json()
    assert payload["state"] == "ended"
    assert (payload["counts"]["succeeded"], payload["counts"]["failed"]) == (2, 2)
    assert [kit["number"] for kit in payload["kits"]] == [1, 3]
    found: list[dict[str, Any]] = []
    link = payload["failures"] + "?limit=1"
    while link:
        page = client.get(link).get_json()
        fits(page, "FailureList")
        found += page["failures"]
        link = page.get("next", "")
    assert [each["number"] for each in found] == [2, 4]
    assert {each["problem"]["type"] for each in found} == {"/problems#does-not-fit"}


def test_results_are_read_as_they_come(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    payload = _ask(fresh, {"requests": [small_kit] * 3})
    early = client.get(payload["href"] + "?limit=2").get_json()
    assert early["kits"] == []
    assert client.get(early["next"]).get_json()["kits"] == []
    do_jobs(fresh)
    first = client.get(early["next"]).get_json()
    assert [kit["number"] for kit in first["kits"]] == [1, 2]
    second = client.get(first["next"]).get_json()
    assert [kit["number"] for kit in second["kits"]] == [3]
    assert "next" not in second
    for wrong in ("x", "biAtMQ", "MSAy", "biB4"):
        assert client.get(f"{payload['href']}?after={wrong}").status_code == 422


def test_the_zip_holds_every_kit_as_its_own_address_gives_it(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    as_zip = {"Accept": "application/zip"}
    body = {"title": "Two", "requests": [small_kit, _too_large(small_kit), small_kit]}
    zips, href = [], ""
    for _ in range(2):
        payload = _ask(fresh, body)
        early = client.get(payload["href"], headers=as_zip)
        assert early.status_code == 409
        assert early.get_json()["type"] == "/problems#not-ended"
        do_jobs(fresh)
        whole = client.get(payload["href"], headers=as_zip)
        assert whole.status_code == 200
        assert whole.is_streamed
        zips.append(whole.data)
        href = payload["href"]
    # The same batch gives the same bytes.
    assert zips[0] == zips[1]
    kits = client.get(href).get_json()["kits"]
    with zipfile.ZipFile(io.BytesIO(zips[1])) as archive:
        assert archive.testzip() is None
        assert archive.namelist() == ["kit-00001.zip", "kit-00003.zip", "batch.json"]
        for kit in kits:
            inside = archive.read(f"kit-{kit['number']:05d}.zip")
            assert inside == client.get(kit["kit"], headers=as_zip).data
        payload = json.loads(archive.read("batch.json"))
    assert [each["number"] for each in payload["failures"]] == [2]
    # A kit that was deleted in the meantime is left out.
    client.delete(kits[0]["kit"])
    left = client.get(f"/v1/batches/{_batches(fresh)[0]['id']}", headers=as_zip).data
    assert zipfile.ZipFile(io.BytesIO(left)).namelist() == ["kit-00003.zip", "batch.json"]


def _batches(app: Flask) -> list[dict[str, Any]]:
    return list(app.test_client().get("/v1/batches").get_json()["batches"])


def test_the_zip_is_never_in_memory_as_a_whole(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    payload = _ask(fresh, {"requests": [small_kit] * 3})
    do_jobs(fresh)
    store = _store(fresh)
    kits = fresh.test_client().get(payload["href"]).get_json()["kits"]
    size = 16 << 20
    for kit in kits:
        (store.folder / store.kits.name(kit["kit"].rpartition("/")[2])).write_bytes(bytes(size))
    tracemalloc.start()
    sent = sum(len(part) for part in stream(store, store.batches.get(payload["id"])))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert sent > 3 * size
    assert peak < size / 8


def test_a_batch_is_cancelled_and_keeps_what_it_has(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    payload = _ask(fresh, {"requests": [small_kit] * 4})
    store = _store(fresh)
    first = store.jobs.claim_next(payload["id"], 0)
    second = store.jobs.claim_next(payload["id"], 0)
    assert (first.number, second.number) == (0, 1)
    store.jobs.end(first, "succeeded")
    answer = client.delete(payload["href"])
    assert answer.status_code == 202
    assert answer.get_json()["counts"] == {
        "queued": 0, "running": 1, "succeeded": 1, "failed": 0, "cancelled": 2,
    }  # fmt: skip
    assert store.jobs.heartbeat(second, 0.5, "") == "cancel"
    store.jobs.end(second, "cancelled")
    assert do_jobs(fresh) == 0
    answer = client.delete(payload["href"])
    assert (answer.status_code, answer.get_json()["state"]) == (200, "cancelled")


def test_a_batch_has_one_message_and_an_old_one_is_passed_over(
    fresh: Flask, small_kit: dict[str, Any]
) -> None:
    payload = _ask(fresh, {"requests": [small_kit] * 3})
    store = _store(fresh)
    assert sweep(store.jobs, b"{}") == []
    with store.engine.begin() as connection:
        connection.exec_driver_sql("update batches set lease_us = 1")
    assert sweep(store.jobs, b"{}") == [Delivery("batch", payload["id"], 1)]
    assert store.jobs.claim_next(payload["id"], 0) is None
    assert store.jobs.claim_next(payload["id"], 1).number == 0
    # What a dead worker held is done after what was never tried.
    with store.engine.begin() as connection:
        connection.exec_driver_sql("update jobs set lease_us = 1 where state = 'running'")
    assert sweep(store.jobs, b"{}") == [Delivery("batch", payload["id"], 2)]
    taken = [store.jobs.claim_next(payload["id"], 2).number for _ in range(3)]
    assert taken == [1, 2, 0]
    assert store.jobs.claim_next(payload["id"], 2) is None


def test_the_same_key_gives_the_same_batch(fresh: Flask, small_kit: dict[str, Any]) -> None:
    headers = {"Idempotency-Key": "one"}
    body = {"requests": [small_kit]}
    first, again = (
        fresh.test_client().post("/v1/batches", json=body, headers=headers) for _ in range(2)
    )
    assert first.get_json() == again.get_json()
    assert len(_batches(fresh)) == 1


def test_batches_are_listed_page_by_page(fresh: Flask, small_kit: dict[str, Any]) -> None:
    asked = [_ask(fresh, {"requests": [small_kit] * n})["id"] for n in (1, 2, 3)]
    found: list[str] = []
    link = "/v1/batches?limit=2"
    while link:
        page = fresh.test_client().get(link).get_json()
        found += [each["id"] for each in page["batches"]]
        link = page.get("next", "")
    assert found == asked[::-1]


def test_what_ended_long_ago_is_forgotten(
    fresh: Flask, small_kit: dict[str, Any], do_jobs: DoJobs
) -> None:
    client = fresh.test_client()
    payload = _ask(fresh, {"requests": [small_kit]})
    job = client.post("/v1/layouts", json=small_kit, headers={"Prefer": "respond-async"}).get_json()
    store = _store(fresh)
    with store.engine.begin() as connection:
        connection.exec_driver_sql("update jobs set ended_us = 1")
        connection.exec_driver_sql("update batches set created_us = 1")
    store.sweep()
    # Not yet ended: both stay.
    assert client.get(payload["href"]).status_code == client.get(job["href"]).status_code == 200
    do_jobs(fresh)
    kit = client.get(payload["href"]).get_json()["kits"][0]["kit"]
    with store.engine.begin() as connection:
        connection.exec_driver_sql("update jobs set ended_us = 1")
    store.sweep()
    assert client.get(payload["href"]).status_code == client.get(job["href"]).status_code == 404
    assert store.results.get(job["id"]) is None
    # Kits are kept until they are deleted.
    assert client.get(kit).status_code == 200
