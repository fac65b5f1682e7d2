"""Two servers, two workers, PostgreSQL, Redis and an object store; all killed at random.

The long form, three batches of 2,000 kits, takes about an hour on two busy cores:

    python -m pytest tests/live/test_jobs_scale.py -m long -s --timeout 10800
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import pytest
import requests

from tests.live import live_batches, live_jobs
from tests.live.swift_alone import Swift

MakeServer = Callable[..., Any]
ROOT = Path(__file__).resolve().parents[2]
pytestmark = [
    pytest.mark.postgres,
    pytest.mark.redis,
    pytest.mark.object_store,
    pytest.mark.timeout(900),
]
HARD = [pytest.mark.long, pytest.mark.timeout(10_800)]


def _command(environment: dict[str, str], *words: str) -> str:
    """Return what a command of the service prints, on the same stores."""
    outcome = subprocess.run(
        [sys.executable, "-m", "service", *words],
        env={**os.environ, **environment, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=900,
        check=False,
    )
    assert outcome.returncode == 0, outcome.stdout + outcome.stderr
    return outcome.stdout


@dataclass
class Outside:
    """What servers and workers share."""

    postgres: Any
    redis: Any
    swift: Swift
    bucket: str

    @property
    def settings(self) -> dict[str, str]:
        return {
            **self.swift.environment,
            "AWS_ALLOW_HTTP": "true",
            "QUARTERSEAM_DATABASE": self.postgres.url,
            "QUARTERSEAM_QUEUE": self.redis.url,
            "QUARTERSEAM_FILES": self.bucket,
            "QUARTERSEAM_WORKERS": "1",
            "QUARTERSEAM_JOB_LEASE_SECONDS": "10",
            "QUARTERSEAM_JOB_SWEEP_SECONDS": "2",
        }

    def parts(self) -> dict[str, live_batches.Part]:
        return {
            "database": (self.postgres.kill, self.postgres.start),
            "queue": (self.redis.stop, self.redis.start),
            "store": (self.swift.kill, self.swift.start),
        }


@pytest.fixture
def outside(postgres: Any, redis_server: Any, swift: Swift, bucket: str) -> Outside:
    return Outside(postgres, redis_server, swift, bucket)


@pytest.mark.parametrize(
    ("kits", "rounds", "apart"),
    [pytest.param(24, 1, 6, marks=pytest.mark.long), pytest.param(2000, 3, 45, marks=HARD)],
)
def test_a_batch_survives_the_death_of_every_part(
    make_server: MakeServer,
    outside: Outside,
    tmp_path: Path,
    kits: int,
    rounds: int,
    apart: int,
) -> None:
    shared = outside.settings
    servers = [make_server(command=live_jobs.SERVER, **shared) for _ in range(2)]
    workers = [make_server(command=live_jobs.WORKER, **shared) for _ in range(2)]
    # What the others need to start comes first.
    parts = outside.parts()
    parts |= {f"server {n + 1}": (each.kill, each.start) for n, each in enumerate(servers)}
    parts |= {f"worker {n + 1}": (each.kill, each.start) for n, each in enumerate(workers)}
    fetch = live_batches.from_any([each.url for each in servers])
    batch = live_batches.batch_of(kits)
    for turn in range(rounds):
        began = time.monotonic()
        key = {"Idempotency-Key": f"round-{turn}"}
        asked = requests.post(f"{servers[0].url}/v1/batches", json=batch, headers=key, timeout=600)
        assert asked.status_code == 202, asked.text
        link = asked.json()["href"]
        assert asked.json()["total"] == kits
        ended = partial(live_batches.count_ended, fetch, link)
        with live_batches.Chaos(parts, turn, ended, apart) as chaos:
            made = live_batches.follow(fetch, link)
        seconds = time.monotonic() - began
        live_batches.check_batch(fetch, link, batch, made)
        tries = [fetch(kit["job"]).json()["attempts"] for kit in made]
        # Asked again under its key, the batch is the one that there is.
        again = requests.post(f"{servers[1].url}/v1/batches", json=batch, headers=key, timeout=600)
        assert (again.status_code, again.json()["href"]) == (202, link)
        assert live_jobs.count_kits(servers[1].url) == kits * (turn + 1)
        extra = sum(tries) - kits
        killed = ", ".join(f"{name} {chaos.kills[name]}" for name in parts)
        print(
            f"round {turn + 1}: {kits} kits in {seconds:.0f} s, {sum(chaos.kills.values())} kills "
            f"({killed}), {extra} attempts more than kits ({100 * extra / kits:.1f} %), at most "
            f"{max(tries)} of a kit; 0 lost, 0 doubled",
            flush=True,
        )
    # Every row has its file, with its hash, and no file is there without its row.
    print(_command({**shared, "QUARTERSEAM_DATA": str(tmp_path / "check")}, "check"))
    for each in (*servers, *workers):
        assert each.stop() == 0, each.log.read_text()[-4000:]
