"""Processor time and memory that a server process spends on bodies which cost much to check.

    python tests/benchmarks/bench_validation.py [BYTES [PART OF PATH AND NAME]]

Every shape of body in every place of every operation that takes JSON, and forms, sent through the
WSGI door; what is done in children of the server is not counted. The worst are listed. Nothing is
asserted.
"""

from __future__ import annotations

import gc
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from operator import itemgetter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from service.http.app import create_app
from service.settings import Settings
from tests.property import hostile_bodies

_WORST = 15


def main() -> None:
    """Measure and print."""
    size = int(sys.argv[1]) if len(sys.argv) > 1 else (1 << 20) - 200
    only = sys.argv[2] if len(sys.argv) > 2 else ""
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(data=Path(folder)))
        client = app.test_client()
        client.post("/v1/outlines", data=b"{}", content_type="application/json")
        found: list[tuple[float, float, int, str, str]] = []
        for path, name, body, kind in _bodies(size):
            if only not in f"{path} {name}":
                continue
            gc.collect()
            # What the process held most of, from here on (proc(5)).
            Path("/proc/self/clear_refs").write_text("5")
            before, began = _held(), time.process_time()
            method = "PUT" if "/cutters/" in path else "POST"
            answer = client.open(path, method=method, data=body, content_type=kind)
            spent = time.process_time() - began
            found.append((spent, (_held("VmHWM") - before) / 1024, answer.status_code, path, name))
        app.extensions["quarterseam-store"]().close()
    print(f"{len(found)} bodies of up to {size} bytes")
    for key, title in ((0, "processor time"), (1, "memory")):
        print(f"most {title}:")
        for spent, grown, status, path, name in sorted(found, key=itemgetter(key), reverse=True)[
            :_WORST
        ]:
            print(f"  {spent:7.3f} s {grown:7.1f} MiB  {status}  {path}  {name}")
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(f"in children: {children.ru_utime + children.ru_stime:.1f} s")


def _bodies(size: int) -> Iterator[tuple[str, str, bytes, str]]:
    """Yield path, name, body and media type of everything that is sent."""
    for make in (hostile_bodies.usable_bodies, hostile_bodies.whole_bodies):
        for path, name, body in make(size):
            yield path, name, body, "application/json"
    form = f"multipart/form-data; boundary={hostile_bodies.BOUNDARY}"
    for name, body in hostile_bodies.forms(size):
        yield "/v1/inspections", name, body, form


def _held(name: str = "VmRSS") -> int:
    text = Path("/proc/self/status").read_text()
    return int(text.partition(f"{name}:")[2].split()[0])


if __name__ == "__main__":
    main()
