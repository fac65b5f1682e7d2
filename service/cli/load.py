"""Send requests to a running server from several clients at once, and time its answers.

Kits that it creates are titled "Load test" and deleted again. The exit code is 1 when an answer was
an error or a limit that was stated is exceeded; answers of a full server (429, 503) are counted by
themselves. Put no more on a server that others use than they can do without.
"""

from __future__ import annotations

import argparse
import http.client
import itertools
import json
import math
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import SplitResult, urlsplit

from geometry.sentences import number_of
from service.settings import SettingsError

_TITLE = "Load test"
_PIECE: dict[str, Any] = {
    "id": "A", "shape": {"kind": "hexagon", "side": "1 in"}, "seam_allowance": "1/4 in",
}  # fmt: skip
_KIT: dict[str, Any] = {
    "title": _TITLE,
    "pieces": [{**_PIECE, "quantity": 24}],
    "runs": [{"cut": "template", "cutter": "laser-bed", "material": {"kind": "card"}}],
}
_REQUESTS: dict[str, tuple[str, dict[str, Any]]] = {
    "outlines": ("/v1/outlines", {"pieces": [_PIECE]}),
    "layouts": ("/v1/layouts", _KIT),
    "kits": ("/v1/kits", _KIT),
}
KINDS = (*_REQUESTS, "mixed")
#: A server that is full, or a caller that asks too often.
_FULL = (429, 503)
_MAX_CLIENTS = 256
_TIMEOUT_S = 300.0
#: A client whose request was not answered waits before it sends the next, s.
_PAUSE_S = 0.1
#: How many sizes there are, so that few requests ask for what a process has just worked out.
_SIZES = 400


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("url", metavar="URL", help="of the server, such as http://127.0.0.1:8080")
    parser.add_argument("--kind", choices=KINDS, default="mixed", help="of requests")
    parser.add_argument("--clients", type=int, default=4, help="that ask at once")
    parser.add_argument("--seconds", type=float, default=30.0, help="for which they ask")
    parser.add_argument("--key-file", type=Path, help="a file with a key of scope write")
    parser.add_argument("--request", type=Path, help="a file with a kit's request instead of ours")
    parser.add_argument("--same", action="store_true", help="send equal requests, one size only")
    parser.add_argument(
        "--max-p99-ms", type=float, default=math.inf, help="the longest p99 allowed"
    )


@dataclass
class LoadFigures:
    """What one kind of request was answered."""

    seconds: list[float] = field(default_factory=list)
    #: Answers by status; 0 for those that did not come.
    statuses: Counter[int] = field(default_factory=Counter)

    @property
    def errors(self) -> int:
        """Return how many answers were neither good nor those of a full server."""
        good = sum(self.statuses[each] for each in (200, 201, *_FULL))
        return self.statuses.total() - good

    def percentile_ms(self, share: float) -> float:
        """Return the time that this share of good answers took at most (nearest rank), ms."""
        if not self.seconds:
            return 0.0
        ranked = sorted(self.seconds)
        return 1000.0 * ranked[max(0, math.ceil(share * len(ranked)) - 1)]

    def line(self, kind: str, seconds: float) -> str:
        """Return them in one line."""
        full = sum(self.statuses[each] for each in _FULL)
        points = "  ".join(f"p{p:g} {self.percentile_ms(p / 100):.1f}" for p in (50, 95, 99))
        text = (
            f"{kind:9s}{self.statuses.total():7d} requests  {len(self.seconds) / seconds:7.1f}/s  "
            f"{points} ms  {full} refused by a full server  {self.errors} errors"
        )
        wrong = sorted(each for each in self.statuses if each not in (200, 201, *_FULL))
        return text + "".join(f"  {each or 'no answer'}: {self.statuses[each]}" for each in wrong)


class _Load:
    """Clients of one server."""

    def __init__(self, address: SplitResult, key: str, stated: argparse.Namespace) -> None:
        self._address, self._stated = address, stated
        self._headers = {"Content-Type": "application/json", "User-Agent": "quarterseam-load"}
        if key:
            self._headers["Authorization"] = f"Bearer {key}"
        self._bodies = _bodies(stated)
        self._lock = threading.Lock()
        self.figures = {kind: LoadFigures() for kind in self._bodies}
        self.left_over = 0

    def run(self) -> None:
        """Ask until the time is over."""
        end = time.monotonic() + self._stated.seconds
        threads = [
            threading.Thread(target=self._ask, args=(number, end))
            for number in range(self._stated.clients)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    def _ask(self, number: int, end: float) -> None:
        kinds = itertools.cycle(self._bodies)
        for _ in range(number % len(self._bodies)):
            next(kinds)
        connection = self._connection()
        while time.monotonic() < end:
            kind = next(kinds)
            with self._lock:
                path, body = next(self._bodies[kind])
            began = time.perf_counter()
            status, answer, wait_s = self._answer(connection, "POST", path, body)
            taken = time.perf_counter() - began
            with self._lock:
                self.figures[kind].statuses[status] += 1
                if status in (200, 201):
                    self.figures[kind].seconds.append(taken)
            if status == 201:  # noqa: PLR2004 - created
                self._delete(connection, answer)
            elif not status:
                # Not as fast as a loop can go.
                time.sleep(_PAUSE_S)
            elif status in _FULL:
                time.sleep(max(0.0, min(wait_s, end - time.monotonic())))
        connection.close()

    def _delete(self, connection: http.client.HTTPConnection, answer: bytes) -> None:
        path = f"/v1/kits/{json.loads(answer)['id']}"
        status, _, _ = self._answer(connection, "DELETE", path, b"")
        with self._lock:
            self.left_over += status not in (204, 404)

    def _connection(self) -> http.client.HTTPConnection:
        is_tls = self._address.scheme == "https"
        kind = http.client.HTTPSConnection if is_tls else http.client.HTTPConnection
        return kind(self._address.hostname or "", self._address.port, timeout=_TIMEOUT_S)

    def _answer(
        self, connection: http.client.HTTPConnection, method: str, path: str, body: bytes
    ) -> tuple[int, bytes, float]:
        """Return status, body and the seconds to wait; status 0 where no answer came."""
        try:
            connection.request(method, self._address.path.rstrip("/") + path, body, self._headers)
            answer = connection.getresponse()
            wait_s = float(answer.headers.get("Retry-After", "1"))
            return answer.status, answer.read(), wait_s
        except (OSError, http.client.HTTPException, ValueError):
            connection.close()
            return 0, b"", 0.0


def _bodies(stated: argparse.Namespace) -> dict[str, Iterator[tuple[str, bytes]]]:
    """Return endless requests of each kind that is asked for: path and body."""
    kinds = list(_REQUESTS) if stated.kind == "mixed" else [stated.kind]
    own = None if stated.request is None else json.loads(stated.request.read_bytes())
    made = {}
    for kind in kinds:
        path, body = _REQUESTS[kind]
        if own is not None and kind != "outlines":
            body = {**own, "title": _TITLE}
        made[kind] = _endless(path, json.dumps(body), 1 if stated.same else _SIZES)
    return made


def _endless(path: str, body: str, sizes: int) -> Iterator[tuple[str, bytes]]:
    for number in itertools.cycle(range(sizes)):
        yield path, body.replace('"1 in"', f'"1.{number:03d} in"').encode()


def run(stated: argparse.Namespace) -> int:
    """Ask and print what came; return the exit code.

    Raises:
        SettingsError: when an argument cannot be used.
        OSError: when the server or a file cannot be reached.
    """
    address = urlsplit(stated.url)
    if address.scheme not in {"http", "https"} or not address.hostname:
        fault = f"URL must be one of http or https, such as http://host:8080, not {stated.url}."
        raise SettingsError((fault,))
    if not 1 <= stated.clients <= _MAX_CLIENTS:
        raise SettingsError((f"--clients must be from 1 to {_MAX_CLIENTS}.",))
    key = "" if stated.key_file is None else stated.key_file.read_text(encoding="ascii").strip()
    try:
        load = _Load(address, key, stated)
    except ValueError as error:
        raise SettingsError((f"{stated.request} is not JSON: {error}",)) from None
    began = time.monotonic()
    load.run()
    seconds = time.monotonic() - began
    code = 0
    for kind, figures in load.figures.items():
        print(figures.line(kind, seconds))
        too_long = figures.percentile_ms(0.99) > stated.max_p99_ms
        code = max(code, int(bool(figures.errors) or too_long or not figures.seconds))
    if load.left_over:
        print(f'Not deleted: {number_of(load.left_over, "kit")} titled "{_TITLE}".')
    return code
