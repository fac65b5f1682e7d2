"""What the tests of large batches share: a batch, what each of its kits is, and checks of all."""

from __future__ import annotations

import contextlib
import io
import json
import random
import threading
import time
import zipfile
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Self

import requests

from tests.live import live_jobs

#: Fetches a path, patiently, from any server that answers.
Fetch = Callable[..., requests.Response]
#: How a part of a set-up is killed, and how it is started again.
Part = tuple[Callable[[], None], Callable[[], None]]


def batch_of(kits: int) -> dict[str, Any]:
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


def expected(batch: Mapping[str, Any], number: int) -> dict[str, Any]:
    """The request of one kit of the batch, written out by hand, in the order that is promised."""
    rest, cutter = divmod(number, 2)
    shape, size = divmod(rest, len(batch["sizes"]))
    body: dict[str, Any] = json.loads(json.dumps(batch["request"]))
    side, name = batch["sizes"][size]["side"], batch["cutters"][cutter]
    body["pieces"][0]["shape"] = {"kind": batch["shapes"][shape]["kind"], "side": side}
    body["runs"][0]["cutter"] = name
    body["title"] = f"Breakwater: {batch['shapes'][shape]['kind']}, side {side}, {name}"
    return body


def from_any(urls: Sequence[str]) -> Fetch:
    """Return what fetches a path from whichever of these servers answers."""
    turn = iter(range(1 << 62))

    def fetch(path: str, **options: Any) -> requests.Response:
        until = time.monotonic() + 600
        while True:
            url = urls[next(turn) % len(urls)]
            with contextlib.suppress(requests.RequestException):
                answer = requests.get(url + path, timeout=300, **options)
                if answer.status_code != 503:
                    assert answer.status_code == 200, answer.text
                    return answer
            assert time.monotonic() < until, path
            time.sleep(0.2)

    return fetch


class Chaos:
    """Kills parts of a set-up at random, one or two at once, and starts them again.

    Each part has its turn once before any has another, in an order of chance. Kills are counted in
    kits, not in seconds: on a busy machine a process that was killed every few seconds would never
    have started.

    Args:
        parts: by name; those that others need come first, since they are started first.
        seed: of the chance.
        ended: returns how many kits have ended.
        apart: kits from one kill to the next, on average.
    """

    def __init__(
        self, parts: Mapping[str, Part], seed: int, ended: Callable[[], int], apart: int
    ) -> None:
        self._parts = parts
        self._ended, self._apart = ended, apart
        self._chance = random.Random(seed)  # noqa: S311 - moments of the kills, no secret
        self._stop = threading.Event()
        self._deck: list[str] = []
        self._error: BaseException | None = None
        self.kills: Counter[str] = Counter()
        self._thread = threading.Thread(target=self._run)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()
        if self._error is not None:
            raise self._error

    def _run(self) -> None:
        try:
            self._keep_killing()
        except BaseException as error:  # noqa: BLE001 - raised where the test waits
            self._error = error

    def _keep_killing(self) -> None:
        due = self._ended()
        while True:
            due += round(self._chance.uniform(0.4, 1.6) * self._apart)
            while self._ended() < due:
                if self._stop.wait(0.3):
                    return
            victims = {self._drawn() for _ in range(self._chance.choice((1, 1, 2)))}
            for name in victims:
                self._parts[name][0]()
                self.kills[name] += 1
            self._stop.wait(self._chance.uniform(0.0, 2.0))
            for name, (_, start) in self._parts.items():
                if name in victims:
                    start()

    def _drawn(self) -> str:
        if not self._deck:
            self._deck = list(self._parts)
            self._chance.shuffle(self._deck)
        return self._deck.pop()


def count_ended(fetch: Fetch, link: str) -> int:
    """Return how many kits of a batch have ended."""
    counts = fetch(link).json()["counts"]
    return int(sum(counts[state] for state in live_jobs.ENDED))


#: Seconds without another kit after which a batch stands still; while kits end it may take longer.
_STANDSTILL_S = 1800.0


def follow(fetch: Fetch, link: str) -> list[dict[str, Any]]:
    """Take a batch's kits as they are made, page by page, until all have ended."""
    until = time.monotonic() + _STANDSTILL_S
    kits: list[dict[str, Any]] = []
    page = f"{link}?limit=200"
    while True:
        payload = fetch(page).json()
        kits += payload["kits"]
        if "next" not in payload:
            return kits
        if payload["kits"]:
            until = time.monotonic() + _STANDSTILL_S
        else:
            assert time.monotonic() < until, payload["counts"]
            time.sleep(1)
        page = payload["next"]


def check_batch(
    fetch: Fetch, link: str, batch: Mapping[str, Any], kits: Sequence[Mapping[str, Any]]
) -> None:
    """Check that every kit was made once, with the bytes that one process gives."""
    total = len(batch["shapes"]) * len(batch["sizes"]) * len(batch["cutters"])
    assert fetch(f"{link}/failures").json()["failures"] == []
    assert sorted(kit["number"] for kit in kits) == list(range(1, total + 1))
    assert len({kit["kit"] for kit in kits}) == total
    archive = fetch(link, headers={"Accept": "application/zip"}).content
    with zipfile.ZipFile(io.BytesIO(archive)) as inside:
        assert len(inside.namelist()) == total + 1
        for number in range(total):
            made = inside.read(f"kit-{number + 1:05d}.zip")
            assert made == live_jobs.one_process_gives(expected(batch, number)), number
