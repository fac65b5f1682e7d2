"""Time from starting a server to its first answers, on a store with many kits.

    python tests/benchmarks/bench_start.py --kits 100000
    python tests/benchmarks/bench_start.py --kits 100000 --postgres

Prints the seconds until `/healthz` answers, until a kit is fetched, and how long a sweep of the
whole store takes beside that. `--code FOLDER` measures another checkout of the service.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
import uuid
from pathlib import Path

from sqlalchemy import insert

from service.kits.archive import packed
from service.settings import Settings
from service.storage.store import Store
from service.storage.tables import KIT_FILES, KITS

ROOT = Path(__file__).resolve().parents[2]
#: Older than what a sweep leaves alone.
_OLD_S = 7200
_AT_ONCE = 1000
_ANSWER = b'{"title":"Slipway"}'


def fill(settings: Settings, count: int) -> str:
    """Fill a store with so many kits; returns the id of one of them."""
    store = Store(settings)
    archive = packed({"kit.json": b"{}"})
    digest, answer_digest = (hashlib.sha256(each).hexdigest() for each in (archive, _ANSWER))
    old = time.time() - _OLD_S
    kit_id = ""
    for start in range(0, count, _AT_ONCE):
        ids = [str(uuid.uuid4()) for _ in range(min(_AT_ONCE, count - start))]
        with store.engine.begin() as connection:
            connection.execute(
                insert(KITS),
                [
                    {
                        "id": each, "created_us": start + number, "title": "Slipway",
                        "version": "0", "answer": _ANSWER, "sha256": answer_digest,
                    }
                    for number, each in enumerate(ids)
                ],
            )  # fmt: skip
            connection.execute(
                insert(KIT_FILES),
                [
                    {
                        "kit_id": each, "name": "", "media_type": "application/zip",
                        "bytes": len(archive), "sha256": digest,
                    }
                    for each in ids
                ],
            )  # fmt: skip
        for kit_id in ids:
            path = store.folder / store.kits.name(kit_id)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(archive)
            os.utime(path, (old, old))
    store.close()
    return kit_id


def first_answers(settings: Settings, code: Path, kit_id: str) -> tuple[float, float]:
    """Return the seconds until a server tells that it is healthy, and until it gives a kit."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    environment = {
        "PATH": os.environ["PATH"],
        "PYTHONPATH": str(code),
        "QUARTERSEAM_DATA": str(settings.data),
        "QUARTERSEAM_DATABASE": settings.database_url,
    }
    began = time.monotonic()
    command = [sys.executable, "-m", "service", "serve", "--port", str(port)]
    process = subprocess.Popen(command, cwd=code, env=environment, stderr=subprocess.DEVNULL)
    try:
        times = []
        for path in ("/healthz", f"/v1/kits/{kit_id}"):
            _wait_for(f"http://127.0.0.1:{port}{path}")
            times.append(time.monotonic() - began)
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait()
    return times[0], times[1]


def _wait_for(url: str) -> None:
    until = time.monotonic() + 900
    while time.monotonic() < until:
        try:
            urllib.request.urlopen(url, timeout=60).read()  # noqa: S310 - http, on loopback
        except urllib.error.URLError:
            time.sleep(0.05)
        else:
            return
    raise TimeoutError(url)


def measure(folder: Path, database: str, stated: argparse.Namespace) -> None:
    """Fill a store, start servers on it, sweep it, and print the times."""
    settings = Settings(data=folder, database=database)
    kit_id = fill(settings, stated.kits)
    for turn in range(stated.starts):
        healthy, kit = first_answers(settings, stated.code, kit_id)
        print(f"start {turn + 1}: healthy after {healthy:.2f} s, a kit after {kit:.2f} s")
    store = Store(settings)
    began = time.monotonic()
    store.sweep()
    print(f"a sweep of {stated.kits} kits: {time.monotonic() - began:.1f} s")
    store.close()


def main() -> None:
    """Measure on SQLite or PostgreSQL."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kits", type=int, default=100_000)
    parser.add_argument("--starts", type=int, default=2)
    parser.add_argument("--postgres", action="store_true", help="on a server of its own")
    parser.add_argument("--code", type=Path, default=ROOT)
    stated = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        if not stated.postgres:
            measure(Path(scratch) / "data", "", stated)
            return
        sys.path.insert(0, str(ROOT))
        from tests.live.postgres_alone import postgres_server

        with postgres_server() as postgres:
            url = postgres.url.replace("postgresql://", "postgresql+psycopg://")
            measure(Path(scratch) / "data", url, stated)


if __name__ == "__main__":
    main()
