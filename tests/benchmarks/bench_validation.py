"""Processor time and memory that a server process spends on bodies which cost much to check.

    python tests/benchmarks/bench_validation.py [--seconds 300] [--skip 343]

Every shape of body in every place of every operation that takes JSON, and forms, sent through the
WSGI door; what is done in children of the server is not counted. The worst are listed. Nothing is
asserted.
"""

from __future__ import annotations

import argparse
import gc
import math
import random
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from operator import itemgetter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from tests.property import hostile_bodies

_WORST = 15


Found = tuple[float, float, int, str, str]


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bytes", type=int, default=(1 << 20) - 200)
    parser.add_argument("--only", default="", help="a part of path and name")
    parser.add_argument("--seconds", type=float, default=math.inf, help="begin no body after these")
    parser.add_argument("--skip", type=int, default=0, help="begin after so many bodies")
    stated = parser.parse_args()
    chosen = [each for each in _bodies(stated.bytes) if stated.only in f"{each[0]} {each[1]}"]
    chosen = chosen[stated.skip :]
    found: list[Found] = []
    end = time.monotonic() + stated.seconds
    with tempfile.TemporaryDirectory() as folder:
        # What children take is bounded by this time, and not counted.
        app = create_app(Settings(data=Path(folder), compute_seconds=5))
        client = app.test_client()
        # What is imported and connected at the first request is no cost of a body.
        for path, _, make, kind in _bodies(2000):
            client.open(path, method=hostile_bodies.method(path), data=make(), content_type=kind)
            if kind != "application/json":
                break
        for path, name, make, kind in chosen:
            if time.monotonic() > end:
                break
            found.append(_measured(client, path, name, make(), kind))
        app.extensions["quarterseam-store"]().close()
    print(f"{len(found)} of {len(chosen)} bodies of up to {stated.bytes} bytes")
    for key, title in ((0, "processor time"), (1, "memory")):
        print(f"most {title}:")
        for spent, grown, status, path, name in sorted(found, key=itemgetter(key), reverse=True)[
            :_WORST
        ]:
            print(f"  {spent:7.3f} s {grown:7.1f} MiB  {status}  {path}  {name}")


def _measured(client: FlaskClient, path: str, name: str, body: bytes, kind: str) -> Found:
    gc.collect()
    # What the process held most of, from here on (proc(5)).
    Path("/proc/self/clear_refs").write_text("5")
    before, began = _held(), time.process_time()
    method = hostile_bodies.method(path)
    answer = client.open(path, method=method, data=body, content_type=kind)
    spent = time.process_time() - began
    return spent, (_held("VmHWM") - before) / 1024, answer.status_code, path, name


def _bodies(size: int) -> list[tuple[str, str, Callable[[], bytes], str]]:
    """Return path, name, body and media type of everything that is sent, in one random order."""
    json, form = "application/json", f"multipart/form-data; boundary={hostile_bodies.BOUNDARY}"
    sent = [
        (path, name, partial(hostile_bodies.body, shape, member, size), json)
        for path, name, member, shape in hostile_bodies.whole_shapes()
    ]
    random.Random(14).shuffle(sent)  # noqa: S311 - no secret
    first = [
        (*each[:2], partial(bytes, each[2]), json) for each in hostile_bodies.usable_bodies(size)
    ]
    first += [
        (path, name, partial(bytes, body), form)
        for path in hostile_bodies.FORM_ENDPOINTS
        for name, body in hostile_bodies.forms(size)
    ]
    return [*first, *sent]


def _held(name: str = "VmRSS") -> int:
    text = Path("/proc/self/status").read_text()
    return int(text.partition(f"{name}:")[2].split()[0])


if __name__ == "__main__":
    main()
