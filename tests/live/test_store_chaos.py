"""Kills, and wrong and older databases in the place of the right one: no acknowledged kit is lost.

The long forms, 100 kills on SQLite and 50 on PostgreSQL and Redis (half an hour or so):

    python -m pytest tests/live/test_store_chaos.py -m long -s --timeout 10800
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import requests

from service.settings import Settings
from service.storage.store import Store
from tests.live import live_jobs

MakeServer = Callable[..., Any]
ROOT = Path(__file__).resolve().parents[2]
LONG = pytest.mark.long
HARD = [LONG, pytest.mark.timeout(10_800)]
pytestmark = pytest.mark.timeout(900)
SWAPS = ("wrong", "older", "wrong", "older", "older")


@dataclass
class Ledger:
    """Kits that clients were answered with: their answers, and the hashes of their zips."""

    kits: dict[str, tuple[bytes, str]] = field(default_factory=dict)
    stop: threading.Event = field(default_factory=threading.Event)


def _kit(title: str) -> dict[str, Any]:
    """A kit of little work."""
    body = live_jobs.small_kit(title)
    body["runs"][0]["effort"] = "quick"
    return body


def _ask(url: Callable[[], str], ledger: Ledger, number: int) -> None:
    """Ask for kits one after the other, each until it is acknowledged."""
    turn = 0
    while not ledger.stop.is_set():
        body = _kit(f"Mole {number}, {turn}")
        headers = {"Idempotency-Key": f"{number}-{turn}"}
        with contextlib.suppress(requests.RequestException):
            made = requests.post(f"{url()}/v1/kits", json=body, headers=headers, timeout=600)
            if made.status_code == 201:
                zipped = hashlib.sha256(live_jobs.one_process_gives(body)).hexdigest()
                ledger.kits[made.headers["Location"]] = (made.content, zipped)
                turn += 1
                time.sleep(0.1)
                continue
            # 404: what the key made is not in an older database. 409: the process that the key was
            # sent to was killed, and its claim is not over yet.
            assert made.status_code in {404, 409, 503}, made.text
            turn += made.status_code in {404, 409}
        time.sleep(0.1)


def _check(url: str, ledger: Ledger) -> None:
    for link, (answer, zipped) in ledger.kits.items():
        found = live_jobs.get(url + link)
        assert found.content == answer, (link, found.text[:300])
        archive = live_jobs.get(url + link, headers={"Accept": "application/zip"})
        assert hashlib.sha256(archive.content).hexdigest() == zipped


@dataclass
class Shop:
    """Processes on one data folder, and the database that they use."""

    servers: list[Any]
    data: Path
    scratch: Path
    chance: random.Random
    kills: int = 0
    log: list[str] = field(default_factory=list)

    @property
    def environment(self) -> dict[str, str]:
        return {"QUARTERSEAM_DATA": str(self.data)}

    def start(self) -> None:
        for server in self.servers:
            server.start()

    def kill(self) -> None:
        """Kill everything."""
        for server in self.servers:
            if server.process.poll() is None:
                server.kill()
                self.kills += 1

    def kill_answering(self) -> bool:
        """Kill the processes that answer, not the one that starts them again; returns whether."""
        master = self.servers[0].process.pid
        children = Path(f"/proc/{master}/task/{master}/children").read_text().split()
        for child in children:
            with contextlib.suppress(ProcessLookupError):
                os.kill(int(child), signal.SIGKILL)
        self.kills += bool(children)
        return bool(children)

    def kill_while_starting(self) -> None:
        """Start what serves, and kill it before it may be ready."""
        server = self.servers[0]
        usual, server.wait_until_ready = server.wait_until_ready, lambda: None
        server.start()
        server.wait_until_ready = usual
        time.sleep(self.chance.uniform(0.1, 1.5))
        server.kill()
        self.kills += 1

    def command(self, name: str) -> subprocess.CompletedProcess[str]:
        """Run a command of the service; one that does not end says where it is."""
        environment = {
            **os.environ, **self.environment, "PYTHONPATH": str(ROOT), "PYTHONFAULTHANDLER": "1",
        }  # fmt: skip
        command = [sys.executable, "-m", "service", name]
        with subprocess.Popen(
            command, env=environment, cwd=self.data.parent, stdout=subprocess.PIPE,
            stderr=subprocess.PIPE, text=True,
        ) as process:  # fmt: skip
            try:
                stdout, stderr = process.communicate(timeout=300)
            except subprocess.TimeoutExpired:
                process.send_signal(signal.SIGABRT)
                stdout, stderr = process.communicate()
                raise AssertionError(f"{name} did not end:\n{stdout}\n{stderr}") from None
        return subprocess.CompletedProcess(command, process.returncode, stdout, stderr)

    def check_refused(self) -> None:
        """Check that a server does not start on the wrong database, and changes no file."""
        before = sorted(self.data.rglob("*.zip"))
        payload = self.command("serve")
        assert payload.returncode == 2, payload.stderr
        assert "do not belong together" in payload.stderr
        assert sorted(self.data.rglob("*.zip")) == before

    def take_back(self) -> None:
        """Sweep on an older database, then import what it does not list."""
        for path in self.data.glob("kits/*/*.zip"):
            then = path.stat().st_mtime - 7200
            os.utime(path, (then, then))
        swept, taken = self.command("sweep"), self.command("import")
        assert taken.returncode == 0, taken.stdout + taken.stderr
        self.log.append(f"{swept.stdout.splitlines()[0]} | {taken.stdout.splitlines()[-1]}")

    def snapshot(self) -> None:
        raise NotImplementedError

    def swap(self, kind: str) -> None:
        raise NotImplementedError


class SqliteShop(Shop):
    """On SQLite's file in the data folder."""

    def snapshot(self) -> None:
        self._copy(self.data / "quarterseam.sqlite", self.scratch / "older.sqlite")

    def _copy(self, source: Path, target: Path) -> None:
        with (
            contextlib.closing(sqlite3.connect(source, timeout=600)) as reading,
            contextlib.closing(sqlite3.connect(target)) as writing,
        ):
            reading.backup(writing)

    def _put(self, source: Path) -> None:
        for path in self.data.glob("quarterseam.sqlite*"):
            path.unlink()
        shutil.copy(source, self.data / "quarterseam.sqlite")

    def swap(self, kind: str) -> None:
        if kind == "older":
            self._put(self.scratch / "older.sqlite")
            self.take_back()
            return
        right, other = self.scratch / "right.sqlite", self.scratch / "other"
        self._copy(self.data / "quarterseam.sqlite", right)
        Store(Settings(data=other)).close()
        self._put(other / "quarterseam.sqlite")
        self.check_refused()
        self._put(right)


@dataclass
class PostgresShop(Shop):
    """On databases of a PostgreSQL server, made from each other."""

    postgres: Any = None
    name: str = "postgres"
    made: int = 0

    @property
    def environment(self) -> dict[str, str]:
        return {**super().environment, "QUARTERSEAM_DATABASE": self._url(self.name)}

    def _url(self, name: str) -> str:
        return str(self.postgres.url).removesuffix("/postgres") + f"/{name}"

    def _create(self, name: str, source: str) -> None:
        import psycopg

        with psycopg.connect(self._url("template1"), autocommit=True) as connection:
            connection.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s",
                (source,),
            )
            for _ in range(50):
                with contextlib.suppress(psycopg.errors.ObjectInUse):
                    connection.execute(f'CREATE DATABASE "{name}" TEMPLATE "{source}"')
                    return
                time.sleep(0.1)
        raise AssertionError(name)

    def snapshot(self) -> None:
        self.made += 1
        self._create(f"older{self.made}", self.name)

    def swap(self, kind: str) -> None:
        right = self.name
        if kind == "older":
            self.name = f"{right[:9]}_{self.made}_{self.kills}"
            self._create(self.name, f"older{self.made}")
            for server in self.servers:
                server.environment = {**server.environment, **self.environment}
            self.take_back()
            return
        self.name = f"wrong_{self.kills}"
        self._create(self.name, "template0")
        url = self._url(self.name).replace("postgresql://", "postgresql+psycopg://")
        Store(Settings(data=self.scratch / self.name, database=url)).close()
        self.check_refused()
        self.name = right


def _wait_for_more(ledger: Ledger, known: int) -> None:
    """Wait until another kit was acknowledged: a kill before that would put little at stake."""
    until = time.monotonic() + 600
    while len(ledger.kits) == known:
        assert time.monotonic() < until, "no kit was made"
        time.sleep(0.02)


def _run(shop: Shop, kills: int, swaps: tuple[str, ...]) -> None:
    """Kill again and again while clients ask; put other databases in place now and then."""
    ledger = Ledger()
    url = shop.servers[0].url
    clients = [
        threading.Thread(target=_ask, args=(lambda: url, ledger, number)) for number in range(2)
    ]
    every = max(1, kills // (len(swaps) + 1))
    waiting, next_swap = list(swaps), every
    began = time.monotonic()
    for client in clients:
        client.start()
    try:
        while shop.kills < kills or waiting:
            _wait_for_more(ledger, len(ledger.kits))
            time.sleep(shop.chance.uniform(0.0, 0.5))
            is_due = bool(waiting) and shop.kills >= next_swap
            # Most kills are of processes that another starts again: that takes a moment only.
            if not is_due and shop.chance.random() < 0.7 and shop.kill_answering():
                continue
            shop.kill()
            if is_due:
                shop.swap(waiting.pop(0))
                shop.snapshot()
                next_swap += every
            elif shop.chance.random() < 0.5:
                shop.kill_while_starting()
            shop.start()
        time.sleep(1)
    finally:
        ledger.stop.set()
        for client in clients:
            client.join(600)
    _check(url, ledger)
    assert len(ledger.kits) > kills // 4
    seconds = time.monotonic() - began
    print(f"{shop.kills} kills, {len(swaps)} databases, {len(ledger.kits)} kits, {seconds:.0f} s")
    for line in shop.log:
        print(f"  {line}")


@pytest.mark.parametrize(
    ("kills", "swaps"),
    [
        pytest.param(6, ("wrong", "older"), marks=LONG),
        pytest.param(100, SWAPS, marks=HARD),
    ],
)
def test_no_acknowledged_kit_is_lost_on_sqlite(
    make_server: MakeServer, tmp_path: Path, kills: int, swaps: tuple[str, ...]
) -> None:
    server = make_server(QUARTERSEAM_WORKERS="1", QUARTERSEAM_JOB_SLOTS="0")
    shop = SqliteShop([server], server.data, tmp_path, random.Random(14))  # noqa: S311 - no secret
    shop.snapshot()
    _run(shop, kills, swaps)
    assert server.stop() == 0


@pytest.mark.postgres
@pytest.mark.redis
@pytest.mark.parametrize(
    ("kills", "swaps"),
    [pytest.param(4, ("wrong", "older"), marks=LONG), pytest.param(50, SWAPS, marks=HARD)],
)
def test_no_acknowledged_kit_is_lost_on_postgresql_and_redis(
    make_server: MakeServer,
    postgres: Any,
    redis_server: Any,
    tmp_path: Path,
    kills: int,
    swaps: tuple[str, ...],
) -> None:
    shared = {
        "data": tmp_path / "shared",
        "QUARTERSEAM_DATABASE": postgres.url,
        "QUARTERSEAM_QUEUE": redis_server.url,
        "QUARTERSEAM_WORKERS": "1",
    }
    server = make_server(command=live_jobs.SERVER, **shared)
    worker = make_server(command=live_jobs.WORKER, **shared)
    chance = random.Random(14)  # noqa: S311 - no secret
    shop = PostgresShop([server, worker], tmp_path / "shared", tmp_path, chance, postgres=postgres)
    shop.snapshot()
    _run(shop, kills, swaps)
    assert server.stop() == 0
