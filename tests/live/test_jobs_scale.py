"""Two servers, two workers, PostgreSQL and Redis; all of them killed and started again at will."""

from __future__ import annotations

import io
import json
import random
import threading
import time
import zipfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, Self

import pytest
import requests

from tests.live import live_jobs

MakeServer = Callable[..., Any]
pytestmark = [pytest.mark.postgres, pytest.mark.redis, pytest.mark.timeout(900)]
HARD = [pytest.mark.long, pytest.mark.timeout(3600)]


def _batch(kits: int) -> dict[str, Any]:
    """A batch of so many small kits: shapes times sizes times cutters."""
    base = live_jobs.small_kit("Breakwater")
    base["runs"][0]["formats"] = ["svg"]
    many = kits // 4
    return {
        "title": "Every size on every cutter",
        "request": base,
        "shapes": [{"kind": "kite", "side": "1 in"}, {"kind": "square", "side": "1 in"}],
        "sizes": [{"side": f"{20 + 20 * each / many:.3f} mm"} for each in range(many)],
        "cutters": ["laser-bed", "drag-blade-sheet"],
    }


def _expected(batch: dict[str, Any], number: int) -> dict[str, Any]:
    """The request of one kit of the batch, written out by hand, in the order that is promised."""
    rest, cutter = divmod(number, 2)
    shape, size = divmod(rest, len(batch["sizes"]))
    body: dict[str, Any] = json.loads(json.dumps(batch["request"]))
    side, name = batch["sizes"][size]["side"], batch["cutters"][cutter]
    body["pieces"][0]["shape"] = {"kind": batch["shapes"][shape]["kind"], "side": side}
    body["runs"][0]["cutter"] = name
    body["title"] = f"Breakwater: {batch['shapes'][shape]['kind']}, side {side}, {name}"
    return body


class Chaos:
    """Kills one of several processes now and then, and starts it again.

    Kills are counted in kits, not in seconds: on a busy machine a process that was killed every
    few seconds would never have started.
    """

    def __init__(self, victims: list[Any], seed: int, ended: Callable[[], int], apart: int) -> None:
        self._victims = victims
        self._ended, self._apart = ended, apart
        self._chance = random.Random(seed)  # noqa: S311 - moments of the kills, no secret
        self._stop = threading.Event()
        self.kills = 0
        self._thread = threading.Thread(target=self._run)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()

    def _run(self) -> None:
        due = self._ended()
        while True:
            due += round(self._chance.uniform(0.4, 1.6) * self._apart)
            while self._ended() < due:
                if self._stop.wait(0.2):
                    return
            victim = self._chance.choice(self._victims)
            victim.kill()
            self.kills += 1
            self._stop.wait(self._chance.uniform(0.0, 2.0))
            victim.start()


def _ended(address: str) -> int:
    """Return how many kits of a batch have ended."""
    counts = live_jobs.get(address).json()["counts"]
    return sum(counts[state] for state in live_jobs.ENDED)


def _follow(url: str, link: str, seconds: float) -> list[dict[str, Any]]:
    """Take a batch's kits as they are made, page by page, until all have ended."""
    until = time.monotonic() + seconds
    kits: list[dict[str, Any]] = []
    page = f"{link}?limit=200"
    while True:
        payload = live_jobs.get(url + page).json()
        kits += payload["kits"]
        if "next" not in payload:
            return kits
        assert time.monotonic() < until, payload["counts"]
        if not payload["kits"]:
            time.sleep(1)
        page = payload["next"]


def _check(url: str, link: str, batch: dict[str, Any], kits: list[dict[str, Any]]) -> None:
    """Check that every kit was made once, with the bytes that one process gives."""
    total = len(kits)
    assert sorted(kit["number"] for kit in kits) == list(range(1, total + 1))
    assert len({kit["kit"] for kit in kits}) == total
    assert live_jobs.get(f"{url}{link}/failures").json()["failures"] == []
    archive = live_jobs.get(url + link, headers={"Accept": "application/zip"}).content
    with zipfile.ZipFile(io.BytesIO(archive)) as inside:
        assert len(inside.namelist()) == total + 1
        for number in range(total):
            made = inside.read(f"kit-{number + 1:05d}.zip")
            assert made == live_jobs.one_process_gives(_expected(batch, number)), number


@pytest.mark.parametrize(
    ("kits", "rounds", "apart"), [(24, 1, 8), pytest.param(2000, 3, 60, marks=HARD)]
)
def test_a_batch_survives_the_death_of_any_worker_and_server(
    make_server: MakeServer,
    postgres: Any,
    redis_server: Any,
    tmp_path: Path,
    kits: int,
    rounds: int,
    apart: int,
) -> None:
    shared = {
        "data": tmp_path / "shared",
        "QUARTERSEAM_DATABASE": postgres.url,
        "QUARTERSEAM_QUEUE": redis_server.url,
        "QUARTERSEAM_JOB_LEASE_SECONDS": "5",
        "QUARTERSEAM_JOB_SWEEP_SECONDS": "2",
    }
    steady, shaky = (make_server(command=live_jobs.SERVER, **shared) for _ in range(2))
    workers = [make_server(command=live_jobs.WORKER, **shared) for _ in range(2)]
    batch = _batch(kits)
    figures = []
    for turn in range(rounds):
        began = time.monotonic()
        asked = requests.post(f"{shaky.url}/v1/batches", json=batch, timeout=600)
        assert asked.status_code == 202, asked.text
        payload = asked.json()
        assert payload["total"] == kits
        accepted = time.monotonic() - began
        ended = partial(_ended, steady.url + payload["href"])
        with Chaos([shaky, *workers], turn, ended, apart) as chaos:
            made = _follow(steady.url, payload["href"], 1500)
        seconds = time.monotonic() - began
        tries = [live_jobs.get(steady.url + kit["job"]).json()["attempts"] for kit in made]
        _check(steady.url, payload["href"], batch, made)
        assert live_jobs.count_kits(steady.url) == kits * (turn + 1)
        extra = sum(tries) - kits
        figures.append(
            f"round {turn + 1}: {kits} kits in {seconds:.0f} s, accepted in {accepted:.2f} s, "
            f"{chaos.kills} kills, {extra} tries done again ({100 * extra / kits:.1f} %), "
            f"at most {max(tries)} tries of a kit"
        )
        print(figures[-1], flush=True)
    for each in (steady, shaky, *workers):
        assert each.stop() == 0, each.log.read_text()[-4000:]
