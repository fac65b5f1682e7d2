"""Retention: kits by age and beyond a quota, pinned ones never; keys, jobs and batches by age.

Lists and sweeps of large stores read indexes in their order; times are measured by
`tests/benchmarks/bench_store.py`.
"""

from __future__ import annotations

import logging
import time
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import event, func, select, update

from service.app import create_app
from service.settings import Settings
from service.storage.batches import NewBatch
from service.storage.kit_lists import KitSearch
from service.storage.orders import Order, QueueLimits
from service.storage.store import Store
from service.storage.tables import BATCHES, CLAIMS, JOBS, ORDERS, PINS

DAY_S = 86_400


@pytest.fixture
def stocked(tmp_path: Path) -> Iterator[tuple[Flask, Settings]]:
    settings = Settings(data=tmp_path / "data", compute_seconds=600)
    app = create_app(settings)
    yield app, settings
    app.extensions["quarterseam-store"]().close()


def _store(app: Flask) -> Store:
    return app.extensions["quarterseam-store"]()  # type: ignore[no-any-return]


def _create(app: Flask, body: dict[str, Any], *titles: str) -> list[str]:
    answers = [app.test_client().post("/v1/kits", json={**body, "title": t}) for t in titles]
    return [answer.headers["Location"] for answer in answers]


def _listed(app: Flask) -> dict[str, bool]:
    kits = app.test_client().get("/v1/kits").get_json()["kits"]
    return {kit["href"]: kit["pinned"] for kit in kits}


def _deletions(caplog: pytest.LogCaptureFixture) -> list[tuple[str, str]]:
    return [
        (record.kit, record.why)  # type: ignore[attr-defined]
        for record in caplog.records
        if record.message == "a kit was deleted"
    ]


def test_pinned_kits_stay_and_deletions_are_logged(
    stocked: tuple[Flask, Settings], small_kit: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    app, settings = stocked
    client = app.test_client()
    oldest, pinned, newer, newest = _create(app, small_kit, "A", "B", "C", "D")
    sizes = [
        int(client.get(link, headers={"Accept": "application/zip"}).headers["Content-Length"])
        for link in (oldest, pinned, newer, newest)
    ]
    assert client.put(f"{pinned}/pin").status_code == 204
    assert client.put(f"{pinned}/pin").status_code == 204
    assert _listed(app) == {oldest: False, pinned: True, newer: False, newest: False}
    for method in (client.put, client.delete):
        assert method(f"/v1/kits/{uuid.uuid4()}/pin").status_code == 404

    # A quota of one byte less than all: the oldest one goes, and no more.
    store = _store(app)
    quota = sum(sizes) - 1
    assert store.retention.beyond(sum(sizes), 500) == []
    assert store.retention.beyond(quota, 500) == [oldest.rpartition("/")[2]]
    # Where only the pinned one would fit, all others go and the pinned one stays.
    assert len(store.retention.beyond(0, 500)) == 3
    assert len(store.retention.beyond(0, 2)) == 2

    with caplog.at_level(logging.INFO):
        mindful = Store(Settings(data=settings.data, retention_days=30))
        report = mindful.sweep(now=time.time() + 31 * DAY_S)
        mindful.close()
    assert report is not None
    assert report.removed == 3
    assert _listed(app) == {pinned: True}
    expected = [(link.rpartition("/")[2], "age") for link in (oldest, newer, newest)]
    assert _deletions(caplog) == expected
    assert client.delete(f"{pinned}/pin").status_code == 204
    assert _listed(app) == {pinned: False}
    # A caller may delete a pinned kit, too, and its pin goes with it.
    assert client.put(f"{pinned}/pin").status_code == 204
    assert client.delete(pinned).status_code == 204
    with store.engine.connect() as connection:
        assert connection.execute(select(func.count()).select_from(PINS)).scalar() == 0


def test_a_quota_deletes_the_oldest_kits(
    stocked: tuple[Flask, Settings], small_kit: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    app, settings = stocked
    first, second, third = _create(app, small_kit, "A", "B", "C")
    assert app.test_client().put(f"{first}/pin").status_code == 204
    store = _store(app)
    with store.engine.begin() as connection:
        # As if the first two had 600 KiB each: together more than a quota of 1 MiB.
        for link in (first, second):
            size = "UPDATE kit_files SET bytes = 614400 WHERE name = '' AND kit_id = ?"
            connection.exec_driver_sql(size, (link.rpartition("/")[2],))
    mindful = Store(Settings(data=settings.data, max_kits_mb=1))
    with caplog.at_level(logging.INFO):
        assert mindful.sweep() is not None
    mindful.close()
    assert _deletions(caplog) == [(second.rpartition("/")[2], "quota")]
    assert set(_listed(app)) == {first, third}


def test_old_batches_go_a_few_jobs_at_a_time(stocked: tuple[Flask, Settings]) -> None:
    app, _ = stocked
    store = _store(app)
    limits = QueueLimits(jobs=1000, jobs_per_key=1000, effort_s=1e9)
    ids = [str(uuid.uuid4()) for _ in range(2)]
    for batch_id in ids:
        batch = NewBatch(batch_id, "Class", b"{}", ["A"] * 5, "", "")
        store.batches.add(batch, order=Order("", 5, 5.0), limits=limits)
    with store.engine.begin() as connection:
        connection.execute(update(BATCHES).values(created_us=1))
        # One kit of the second still waits, so that batch stays whole.
        ended = (JOBS.c.batch_id == ids[0]) | (JOBS.c.number > 0)
        connection.execute(update(JOBS).where(ended).values(state="succeeded", ended_us=1))
    gone = [store.batches.purge(30, 2) for _ in range(4)]
    assert [purged and (purged.id, purged.is_gone) for purged in gone] == [
        (ids[0], False), (ids[0], False), (ids[0], True), None,
    ]  # fmt: skip
    assert store.batches.counts(ids) == {ids[1]: {"succeeded": 4, "queued": 1}}
    with store.engine.connect() as connection:
        assert connection.execute(select(func.count()).select_from(JOBS)).scalar() == 5
        assert connection.execute(select(ORDERS.c.id)).scalars().all() == [ids[1]]


def test_keys_of_requests_have_a_settable_age(tmp_path: Path) -> None:
    store = Store(Settings(data=tmp_path, idempotency_hours=48))
    claim = store.claims.acquire("k", "f")
    assert not isinstance(claim, str)
    with store.engine.begin() as connection:
        connection.execute(update(CLAIMS).values(kit_id="x"))
    day_us = DAY_S * 1_000_000
    assert store.claims.purge(day_us) == 0
    assert store.claims.purge(2 * day_us - 10_000_000) == 0
    assert store.claims.purge(2 * day_us + 1_000_000) == 1
    store.close()


def test_lists_and_sweeps_read_indexes_in_their_order(tmp_path: Path) -> None:
    """Ask SQLite how it reads what is listed (https://www.sqlite.org/eqp.html)."""
    store = Store(Settings(data=tmp_path))
    statements: list[tuple[str, Any]] = []

    @event.listens_for(store.engine, "before_cursor_execute")
    def _note(_: Any, __: Any, statement: str, parameters: Any, ___: Any, ____: Any) -> None:
        statements.append((statement, parameters))

    after = (5, "x")
    searches = [
        {}, {"title": "pier"}, {"date": "2026-01-01"}, {"shape": "kite"},
        {"shape": "kite", "cutter": "laser-bed", "title": "pier"}, {"from_us": 3, "before_us": 9},
    ]  # fmt: skip
    for search in searches:
        store.kits.page(51, after=after, search=KitSearch(**search))  # type: ignore[arg-type]
    store.jobs.page(51)
    store.jobs.page(51, after=after)
    store.batches.page(51, after=after)
    store.retention.older_than(5, 500)
    store.retention.beyond(5, 500)
    store.jobs.purge(30, 500)
    store.claims.purge()
    assert sum(store.job_quota.sizes()) == store.claims.size() == 0
    assert store.job_quota.free(5, 500) is None
    store.claims.delete_oldest(500)
    event.remove(store.engine, "before_cursor_execute", _note)
    plans = []
    with store.engine.connect() as connection:
        for statement, parameters in statements:
            found = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)
            plans.append((statement, [row[3] for row in found]))
    store.close()
    assert len(plans) > 12
    for statement, plan in plans:
        for step in plan:
            # A few rows of a page that were found before, or an index that holds all that is read.
            whole = step.startswith("SCAN") and not step.startswith("SCAN anon")
            assert not whole or "USING COVERING INDEX" in step, (statement, plan)
        sorts = sum("USE TEMP B-TREE" in step for step in plan)
        # The rows of one page are sorted once more; its ids come in order.
        assert sorts <= any(step.startswith("SCAN anon") for step in plan), (statement, plan)
