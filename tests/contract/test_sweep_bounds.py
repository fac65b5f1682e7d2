"""A start that costs the same with many kits, and sweeps in bounded steps, one an hour."""

from __future__ import annotations

import cProfile
import os
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from sqlalchemy import Engine, event, insert

from service.settings import Settings
from service.storage import sweep
from service.storage.store import Store
from service.storage.sweep import Report
from service.storage.tables import KITS

HOUR_S = 3600.0
#: SQLite reports its work each time after so many instructions of its virtual machine.
EVERY = 10


def _fill(settings: Settings, count: int) -> None:
    """Give a store so many kits, each a row and a file of its own, two hours old."""
    store = Store(settings)
    ids = [f"{number:08x}-1111-4111-8111-111111111111" for number in range(count)]
    rows = [
        {"id": each, "created_us": 1, "title": "Pier", "version": "0", "answer": b"", "sha256": ""}
        for each in ids
    ]
    with store.engine.begin() as connection:
        connection.execute(insert(KITS), rows)
    then = time.time() - 2 * HOUR_S
    for each in ids:
        path = store.folder / store.kits.name(each)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch()
        os.utime(path, (then, then))
    store.close()


@contextmanager
def _work_of_sqlite() -> Iterator[list[int]]:
    """Count the work of all connections that are opened in the block, in steps of instructions."""
    done = [0]

    def step() -> None:
        done[0] += 1

    def connected(connection: sqlite3.Connection, _: object) -> None:
        connection.set_progress_handler(step, EVERY)

    event.listen(Engine, "connect", connected)
    try:
        yield done
    finally:
        event.remove(Engine, "connect", connected)


def _opened(settings: Settings) -> tuple[int, int]:
    """Return what opening a store costs: calls of functions, and work of the database."""
    profile = cProfile.Profile()
    with _work_of_sqlite() as work:
        store: Store = profile.runcall(Store, settings)
        profile.runcall(store.check)
        store.close()
    return sum(each.callcount for each in profile.getstats()), work[0]


def test_a_start_costs_the_same_however_many_kits_there_are(tmp_path: Path) -> None:
    few, many = Settings(data=tmp_path / "few"), Settings(data=tmp_path / "many")
    _fill(few, 100)
    _fill(many, 5_000)
    _opened(few)  # what is done once in a process
    calls, work = _opened(few)
    more_calls, more_work = _opened(many)
    assert work > 0
    # 50 times the kits: a walk of the folder alone would be thousands of calls more.
    assert more_calls <= 1.1 * calls
    assert more_work <= 1.1 * work + 10


def test_sets_are_compared_in_bounded_steps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = Settings(data=tmp_path)
    _fill(settings, 1_201)
    store = Store(settings)
    asked: list[int] = []
    pauses: list[float] = []
    listed: Callable[[Any], set[str]] = store.kits.listed

    def counted(kit_ids: Any) -> set[str]:
        asked.append(len(kit_ids))
        return listed(kit_ids)

    monkeypatch.setattr(store.kits, "listed", counted)
    # Only the sweep pauses: others sleep as they do.
    monkeypatch.setattr(sweep, "time", SimpleNamespace(sleep=pauses.append, time=time.time))
    assert store.sweep() == Report()
    assert asked == [500, 500, 201]
    # Others have the disk and the database to themselves in between.
    assert len(pauses) >= len(asked)
    store.close()


def test_one_process_sweeps_in_an_hour(tmp_path: Path) -> None:
    """The others look again every few minutes, and find that it was done."""
    first, second = (Store(Settings(data=tmp_path)) for _ in range(2))
    assert first.sweep(every_s=HOUR_S) == Report()
    assert second.sweep(every_s=HOUR_S) is None
    assert first.sweep(every_s=HOUR_S) is None
    then = time.time() - HOUR_S - 60
    os.utime(tmp_path / "sweep.json", (then, then))
    assert second.sweep(every_s=HOUR_S) == Report()
    for store in (first, second):
        store.close()


def test_nothing_leaves_the_lost_and_found_by_itself(tmp_path: Path) -> None:
    """Neither age nor a quota deletes what was set aside: somebody has to look at it."""
    settings = Settings(data=tmp_path, retention_days=1, max_kits_mb=1, job_days=1)
    store = Store(settings)
    folder = tmp_path / "kits" / "ab"
    folder.mkdir(parents=True)
    lost = folder / "ab111111-1111-4111-8111-111111111111.zip"
    lost.write_bytes(bytes(2 << 20))
    draft = folder / ".ab111111.zip.00112233445566ff.draft"
    draft.write_bytes(b"half")
    century = time.time() + 100 * 365 * 24 * HOUR_S
    assert store.sweep(now=century) == Report(removed=1, set_aside=1)
    for _ in range(3):
        assert store.sweep(now=century) == Report()
    assert (tmp_path / "lost-and-found" / lost.name).stat().st_size == 2 << 20
    store.close()


def test_results_that_belong_to_no_job_are_deleted_once_they_are_old(tmp_path: Path) -> None:
    """As a process leaves them that is killed between a result and its job's row, or its sweep."""
    store = Store(Settings(data=tmp_path))
    store.results.save("ab111111-1111-4111-8111-111111111111", b"{}")
    assert store.sweep() == Report()
    assert store.sweep(now=time.time() + 2 * HOUR_S) == Report(removed=1)
    assert store.results.get("ab111111-1111-4111-8111-111111111111") is None
    store.close()
