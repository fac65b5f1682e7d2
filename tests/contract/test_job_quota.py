"""Quotas of jobs and of idempotency keys: what ended first goes first, and nothing unfinished.

Sizes are worked by hand: a job counts with its request and `job_quota.ROW_BYTES`, a key with
`idempotency_keys.ROW_BYTES`; a MiB has 1,048,576 bytes.
"""

from __future__ import annotations

import logging
import re
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event, func, insert, select, update

from service.app import create_app
from service.settings import Settings, SettingsError, from_environment
from service.storage import idempotency_keys, job_quota
from service.storage.batches import NewBatch
from service.storage.jobs import NewJob
from service.storage.orders import Order, QueueLimits
from service.storage.quota_sweep import QuotaSweep
from service.storage.store import Store
from service.storage.sweep import Report
from service.storage.tables import BATCHES, CLAIMS, JOBS, ORDERS

LIMITS = QueueLimits(jobs=10_000, jobs_per_key=10_000, effort_s=1e9)
MIB = 1_048_576


#: By age nothing goes: times here are microseconds after 1970.
CENTURY = 36_500


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    made = Store(Settings(data=tmp_path, job_days=CENTURY, max_jobs_mb=1, max_idempotency_mb=1))
    yield made
    made.close()


def _job(store: Store, title: str, ended_us: int | None, size: int = 400_000) -> str:
    job = NewJob(str(uuid.uuid4()), "kit", title, bytes(size), "", None)
    store.jobs.add(job, order=Order("", 1, 1.0), limits=LIMITS)
    if ended_us is not None:
        ended = update(JOBS).where(JOBS.c.id == job.id)
        with store.engine.begin() as connection:
            connection.execute(ended.values(state="succeeded", ended_us=ended_us))
    return job.id


def _batch(store: Store, kits: int, ended_us: int) -> str:
    batch = NewBatch(str(uuid.uuid4()), "Class", b"{}", ["A"] * kits, "", "")
    store.batches.add(batch, order=Order("", kits, 5.0), limits=LIMITS)
    ended = update(JOBS).where(JOBS.c.batch_id == batch.id)
    with store.engine.begin() as connection:
        connection.execute(ended.values(state="succeeded", ended_us=ended_us))
    return batch.id


def _titles(store: Store) -> set[str]:
    with store.engine.connect() as connection:
        return set(connection.execute(select(JOBS.c.title)).scalars())


def _count(store: Store, table: Any) -> int:
    with store.engine.connect() as connection:
        return int(connection.execute(select(func.count()).select_from(table)).scalar_one())


def _said(caplog: pytest.LogCaptureFixture, message: str) -> list[tuple[Any, Any]]:
    return [
        (getattr(each, "count", None), getattr(each, "why", None))
        for each in caplog.records
        if each.message == message
    ]


def test_jobs_that_ended_first_go_first_and_unfinished_ones_stay(
    store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """Five of 401,000 bytes are 956,424 above a MiB: three go, two of 401,000 are left."""
    row = job_quota.ROW_BYTES
    _job(store, "waits", None, 400_000 + 1000 - row)
    # In another order than they were made.
    ids = {
        name: _job(store, name, ended, 400_000 + 1000 - row)
        for name, ended in (("third", 30), ("first", 10), ("fourth", 40), ("second", 20))
    }
    store.results.save(ids["first"], b"{}")
    store.results.save(ids["fourth"], b"{}")
    with caplog.at_level(logging.INFO):
        report = store.sweep()
    assert report == Report(removed=3, beyond_quota=3, jobs_bytes=802_000)
    assert _titles(store) == {"waits", "fourth"}
    assert store.results.get(ids["first"]) is None
    assert store.results.get(ids["fourth"]) == b"{}"
    assert _said(caplog, "jobs were deleted") == [(3, "quota")]
    # Their orders go with them; a second sweep finds nothing to do.
    assert _count(store, ORDERS) == 2
    assert store.sweep() == Report(jobs_bytes=802_000)


def test_a_running_job_stays_whatever_the_quota(store: Store) -> None:
    for title in ("A", "B", "C"):
        _job(store, title, None)
    held = store.jobs.claim(_job(store, "runs", None))
    assert held is not None
    report = store.sweep()
    assert report is not None
    assert (report.removed, report.jobs_bytes) == (0, 4 * (400_000 + job_quota.ROW_BYTES))
    assert _titles(store) == {"A", "B", "C", "runs"}


def test_a_batch_goes_whole_when_it_ended_first(
    store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    _job(store, "newer", 30)
    gone, kept = _batch(store, 5, 10), _batch(store, 5, 50)
    _job(store, "newest", 40)
    _job(store, "waits", None)
    quotas = QuotaSweep(store, 2, lambda: None)
    with caplog.at_level(logging.INFO):
        quotas.run()
    # The batch first, two of its kits at a time; it frees little, so the oldest job goes, too.
    assert quotas.removed == 2
    assert store.batches.get(gone) is None
    assert store.batches.counts([kept]) == {kept: {"succeeded": 5}}
    assert _titles(store) == {"A", "newest", "waits"}
    assert _count(store, JOBS) == 5 + 2
    assert [each.batch for each in caplog.records if hasattr(each, "batch")] == [gone]
    row = job_quota.ROW_BYTES
    assert quotas.jobs_bytes == 2 * (400_000 + row) + 5 * row + row + 2


def test_a_batch_that_has_not_ended_stays(store: Store) -> None:
    batch_id = _batch(store, 3, 10)
    with store.engine.begin() as connection:
        connection.execute(update(JOBS).where(JOBS.c.number == 1).values(state="queued"))
        connection.execute(update(BATCHES).values(created_us=1))
    for title, ended in (("A", 20), ("B", 30), ("C", 40)):
        _job(store, title, ended)
    assert store.sweep() is not None
    assert store.batches.get(batch_id) is not None
    with store.engine.connect() as connection:
        singles = select(JOBS.c.ended_us).where(JOBS.c.batch_id.is_(None))
        assert sorted(connection.execute(singles).scalars()) == [30, 40]


def test_keys_of_requests_go_oldest_first_and_unanswered_ones_stay(
    store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """3,374 keys of 350 bytes; 2,995 of them go into a MiB."""
    fits = MIB // idempotency_keys.ROW_BYTES
    claims: list[dict[str, Any]] = [
        {"key": f"{number:064}", "token": "t", "fingerprint": "f", "kit_id": "k"}
        for number in range(fits + 379)
    ]
    claims[0]["kit_id"] = None
    assert store.claims.size() == 0
    base = _now_us(store)
    with store.engine.begin() as connection:
        connection.execute(
            insert(CLAIMS), [{**each, "claimed_us": base + n} for n, each in enumerate(claims)]
        )
    with caplog.at_level(logging.INFO):
        report = store.sweep()
    assert report is not None
    assert (report.removed, report.beyond_quota) == (379, 379)
    assert report.keys_bytes == fits * idempotency_keys.ROW_BYTES
    with store.engine.connect() as connection:
        left = sorted(connection.execute(select(CLAIMS.c.key)).scalars())
    # The first is still being answered; the 379 after it are gone.
    assert left == [claims[0]["key"], *(each["key"] for each in claims[380:])]
    assert _said(caplog, "idempotency keys were deleted") == [(379, "quota")]


def _now_us(store: Store) -> int:
    claim = store.claims.acquire("now", "f")
    assert not isinstance(claim, str)
    with store.engine.begin() as connection:
        now = connection.execute(select(CLAIMS.c.claimed_us)).scalar_one()
    store.claims.release(claim)
    return int(now)


def test_a_deleted_job_s_key_says_so(tmp_path: Path, small_kit: dict[str, Any]) -> None:
    """A repeat within the key's age finds no job, and makes no second one."""
    app = create_app(Settings(data=tmp_path))
    client, headers = app.test_client(), {"Prefer": "respond-async", "Idempotency-Key": "order-7"}
    job = client.post("/v1/kits", json=small_kit, headers=headers).get_json()
    store: Store = app.extensions["quarterseam-store"]()
    with store.engine.begin() as connection:
        connection.execute(update(JOBS).values(state="failed", ended_us=1))
    freed = store.job_quota.free(1, 500)
    assert freed is not None
    assert freed.jobs == [job["id"]]
    again = client.post("/v1/kits", json=small_kit, headers=headers)
    assert again.status_code == 404
    assert "has been deleted" in again.get_json()["detail"]
    store.close()


def test_sizes_are_metrics_and_zero_is_no_quota(tmp_path: Path) -> None:
    app = create_app(Settings(data=tmp_path, job_days=CENTURY, max_jobs_mb=0, max_idempotency_mb=0))
    store: Store = app.extensions["quarterseam-store"]()
    for number in range(3):
        _job(store, "A", number)
    claim = store.claims.acquire("k", "f")
    assert not isinstance(claim, str)
    assert store.sweep() is not None
    text = app.test_client().get("/metrics").text
    found = dict(re.findall(r"^(quarterseam_\w+) (\S+)$", text, re.MULTILINE))
    assert float(found["quarterseam_jobs_bytes"]) == 3 * (400_000 + job_quota.ROW_BYTES)
    assert float(found["quarterseam_idempotency_keys_bytes"]) == idempotency_keys.ROW_BYTES
    assert float(found["quarterseam_deleted_beyond_quota"]) == 0
    store.close()


def test_a_sweep_that_refuses_to_touch_kits_deletes_no_job(store: Store) -> None:
    """Results lie beside kits' files, so a sweep that may have the wrong database leaves both."""
    for title, ended in (("A", 1), ("B", 2), ("C", 3)):
        _job(store, title, ended)
    quotas = QuotaSweep(store, 500, lambda: None)
    quotas.run(measure_only=True)
    assert (quotas.removed, quotas.jobs_bytes) == (0, 3 * (400_000 + job_quota.ROW_BYTES))
    assert _count(store, JOBS) == 3


def test_quotas_are_settings() -> None:
    stated = {"QUARTERSEAM_MAX_JOBS_MB": "7", "QUARTERSEAM_MAX_IDEMPOTENCY_MB": "0"}
    settings = from_environment(stated)
    assert (settings.max_jobs_mb, settings.max_idempotency_mb) == (7, 0)
    with pytest.raises(SettingsError, match="QUARTERSEAM_MAX_JOBS_MB must be a whole number"):
        from_environment({"QUARTERSEAM_MAX_JOBS_MB": "-1"})


def test_jobs_are_deleted_by_their_ids_alone(store: Store) -> None:
    """Ask SQLite how it deletes (https://www.sqlite.org/eqp.html): not by an index of states."""
    _job(store, "A", 1)
    statements: list[tuple[str, Any]] = []

    @event.listens_for(store.engine, "before_cursor_execute")
    def _note(_: Any, __: Any, statement: str, parameters: Any, ___: Any, ____: Any) -> None:
        statements.append((statement, parameters))

    freed = store.job_quota.free(1, 500)
    assert freed is not None
    event.remove(store.engine, "before_cursor_execute", _note)
    deletions = [each for each in statements if each[0].startswith("DELETE FROM jobs")]
    assert len(deletions) == 1
    with store.engine.connect() as connection:
        statement, parameters = deletions[0]
        plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)
        assert [row[3] for row in plan] == [
            "SEARCH jobs USING INDEX sqlite_autoindex_jobs_1 (id=?)"
        ]
