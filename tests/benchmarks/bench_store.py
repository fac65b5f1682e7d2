"""Lists, sweeps and opening of a store with 100,000 kits and 1,000,000 jobs in generated rows.

    python tests/benchmarks/bench_store.py [FOLDER]

Prints the shortest of nine calls of each and their median processor time, ms, beside those of an
empty store: on a busy machine the second says more. The rows are written with SQLite's own
statements, so that they are there in a minute; every tenth kit has a rare shape, the
others of each of two keys a shape of their own, and half of the
jobs are kits of 250 batches of 2,000. A folder that is there is used as it is, after its migration,
whose time is printed.
"""

# ruff: noqa: S608 - numbers of its own in its own statements
from __future__ import annotations

import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from pathlib import Path

from service.settings import Settings
from service.storage.job_sweep import sweep
from service.storage.kit_lists import KitSearch
from service.storage.store import Store

KITS = 100_000
JOBS = 1_000_000
BATCHES = 250
_PER_BATCH = JOBS // 2 // BATCHES
#: Bytes of a small kit's answer, as measured.
_ANSWER = 3400
_START_US = 1_700_000_000_000_000
_CALLS = 9
_NUMBERS = "WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < {})"
_ID = "printf('%08x-0000-4000-8000-%012x', {0} * 2654435761 % 4294967296, {0})"


def _statements(kits: int, jobs: int) -> Iterator[str]:
    kit = _ID.format("i")
    yield (
        f"{_NUMBERS.format(kits)} INSERT INTO kits (id, created_us, title, version, answer, sha256,"
        f" number, reference, date, title_folded, key_id) SELECT {kit}, {_START_US} + i * 60000000,"
        f" 'Pier ' || i, '0.2.0', zeroblob({_ANSWER}), 'x', 'N' || i, 'ORDER ' || i / 3,"
        " date('2024-01-01', (i / 100) || ' days'), 'pier ' || i,"
        " CASE WHEN i % 1000 = 0 THEN 'bench' WHEN i % 2 THEN 'studio' ELSE 'east' END FROM n"
    )
    yield (
        f"{_NUMBERS.format(kits)}, f(j) AS (VALUES (''), ('a.svg'), ('b.dxf'), ('run-sheet.pdf'))"
        " INSERT INTO kit_files (kit_id, name, media_type, bytes, sha256)"
        f" SELECT {kit}, j, 'x', 20000, 'x' FROM n, f"
    )
    yield (
        f"{_NUMBERS.format(kits)} INSERT INTO kit_terms (kit_id, term, value, created_us)"
        f" SELECT {kit}, 'shape', CASE WHEN i % 10 < 1 THEN 'kite' WHEN i % 2"
        " THEN 'jewel' ELSE 'hexagon' END,"
        f" {_START_US} + i * 60000000 FROM n"
    )
    yield (
        f"{_NUMBERS.format(kits)} INSERT INTO claims (key, token, fingerprint, claimed_us, kit_id)"
        f" SELECT {_ID.format('i')} || 'k', 't', 'f', {_START_US} + i * 60000000, {kit} FROM n"
    )
    batches = max(1, jobs // 2 // _PER_BATCH)
    yield (
        f"{_NUMBERS.format(batches)} INSERT INTO batches (id, created_us, title, total, finished,"
        f" cancel, source, request_id, serial, lease_us) SELECT {_ID.format('i')},"
        f" {_START_US} + i * 60000000, 'Class', {_PER_BATCH}, {_PER_BATCH}, 0, x'00', '', 0, 0"
        " FROM n"
    )
    # The later half belongs to batches; the newest batch has a hundred kits that wait.
    single, number = f"i < {jobs // 2}", f"(i - {jobs // 2})"
    state = f"CASE WHEN i >= {jobs - 100} THEN 'queued' ELSE 'succeeded' END"
    yield (
        f"{_NUMBERS.format(jobs)} INSERT INTO jobs (id, kind, state, created_us, ended_us,"
        " lease_us, attempts, spared, deliveries, cancel, progress, phase, version, kit_id,"
        f" title, request, request_id, batch_id, number, finish)"
        f" SELECT {_ID.format('(i + 7)')}, 'kit', {state},"
        f" {_START_US} + i * 6000000, {_START_US} + i * 6000000 + 5, 9000000000000000, 1, 0, 1, 0,"
        f" 1.0, '', 3, {_ID.format('(i + 9)')}, 'Pier ' || i, NULL, '',"
        f" CASE WHEN {single} THEN NULL ELSE {_ID.format(f'({number} / {_PER_BATCH})')} END,"
        f" CASE WHEN {single} THEN NULL ELSE {number} % {_PER_BATCH} END,"
        f" CASE WHEN {single} THEN NULL ELSE {number} % {_PER_BATCH} END FROM n"
    )


def fill(database: Path, kits: int = KITS, jobs: int = JOBS) -> None:
    """Write the rows."""
    with closing(sqlite3.connect(database)) as connection, connection:
        connection.execute("PRAGMA synchronous=OFF")
        for statement in _statements(kits, jobs):
            connection.execute(statement)


def calls(settings: Settings, store: Store, kits: int) -> Mapping[str, Callable[[], object]]:
    """Return what is measured, by name."""
    middle = (_START_US + kits // 2 * 60_000_000, "")

    def listed(**search: object) -> Callable[[], object]:
        return lambda: store.kits.page(51, search=KitSearch(**search))  # type: ignore[arg-type]

    def batches() -> object:
        rows = store.batches.page(51)
        return store.batches.counts([row.id for row in rows])

    return {
        "kits, first page": listed(),
        "kits, from the middle": lambda: store.kits.page(51, after=middle),
        "kits, by a title of one": listed(title="pier 77"),
        "kits, by a title of none": listed(title="nowhere"),
        "kits, by number": listed(number="N77"),
        "kits, by reference": listed(reference="ORDER 77"),
        "kits, by date": listed(date="2024-03-01"),
        "kits, by a common shape": listed(shape="hexagon"),
        "kits, by a rare shape": listed(shape="kite"),
        "kits, by no shape": listed(shape="tumbler"),
        "kits, by a title and a shape": listed(title="nowhere", shape="hexagon"),
        "kits, of a key with most": listed(key_id="studio"),
        "kits, of a key with few": listed(key_id="bench"),
        "kits, of a key with most, by no shape": listed(key_id="studio", shape="tumbler"),
        "kits, of a key with most, by a rare shape": listed(key_id="studio", shape="kite"),
        "kits, of a key with few, by a common shape": listed(key_id="bench", shape="hexagon"),
        "kits, of one key, by another's shape": listed(key_id="east", shape="jewel"),
        "jobs, of a key with none": lambda: store.jobs.page(51, key_id="bench"),
        "jobs, first page": lambda: store.jobs.page(51),
        "jobs, from the middle": lambda: store.jobs.page(51, after=middle),
        "batches with counts": batches,
        "sweep of jobs": lambda: sweep(store.jobs, b"{}"),
        "sweep: old kits": lambda: store.retention.older_than(_START_US, 500),
        "sweep: kits beyond a quota": lambda: store.retention.beyond(10_000, 500),
        "sweep: old jobs": lambda: store.jobs.purge(36500, 500),
        "sweep: old batches": lambda: store.batches.purge(36500, 500),
        "sweep: old keys": lambda: store.claims.purge(-(10**15)),
        "sweep: 2,000 jobs measured": lambda: next(store.job_quota.sizes()),
        "sweep: jobs beyond a quota": lambda: store.job_quota.first(500),
        "sweep: all keys measured": store.claims.size,
        "opening the store": lambda: Store(settings).close(),
    }


def measure(call: Callable[[], object]) -> tuple[float, float]:
    """Return the shortest time of a call and the median of its processor time, ms."""
    call()
    times, work = [], []
    for _ in range(_CALLS):
        began, worked = time.perf_counter(), time.process_time()
        call()
        times.append(1000 * (time.perf_counter() - began))
        work.append(1000 * (time.process_time() - worked))
    return min(times), statistics.median(work)


def main() -> None:
    """Measure an empty store and a full one."""
    place = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(tempfile.mkdtemp())
    found: dict[str, list[tuple[float, float]]] = {}
    for name, full in (("empty", False), ("full", True)):
        settings = Settings(data=place / name)
        fresh = not (place / name).exists()
        began = time.perf_counter()
        Store(settings).close()
        print(f"{name} store opened first in {time.perf_counter() - began:.1f} s")
        if full and fresh:
            fill(place / name / "quarterseam.sqlite")
        store = Store(settings)
        for what, call in calls(settings, store, KITS).items():
            found.setdefault(what, []).append(measure(call))
        store.close()
    print(f"{'ms, shortest and processor':<43}{'empty':>13}{'full':>18}")
    for what, ((a, b), (c, d)) in found.items():
        print(f"{what:<40}{a:8.1f}{b:8.1f}{c:10.1f}{d:8.1f}")


if __name__ == "__main__":
    main()
