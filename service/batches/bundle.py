"""A batch as one zip, streamed: no more than one kit of it is ever in memory."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from itertools import chain
from typing import Any

import orjson

from service import __version__
from service.kits.archive import NO_DATE
from service.storage.store import Store
from service.storage.tables import JOBS

_CHUNK = 1 << 16
#: Left out because they differ between attempts; equal batches must give equal zips.
_OWN = ("instance", "request_id")


class _Tap(io.RawIOBase):
    """Collects written bytes until they are read."""

    def __init__(self) -> None:
        super().__init__()
        self._parts: list[bytes] = []

    def writable(self) -> bool:
        return True

    def write(self, data: Any) -> int:  # noqa: ANN401 - any buffer
        self._parts.append(bytes(data))
        return len(data)

    def drained(self) -> bytes:
        found = b"".join(self._parts)
        self._parts.clear()
        return found


def stream(store: Store, batch: Any) -> Iterator[bytes]:  # noqa: ANN401 - a row of that table
    """Yield a zip of the zips of a batch's kits, with ``batch.json`` at its end.

    Each kit's zip is in it byte for byte as the kit's own address gives it.
    """
    tap = _Tap()
    kits: list[dict[str, Any]] = []
    with zipfile.ZipFile(tap, "w", zipfile.ZIP_STORED) as archive:
        columns = (JOBS.c.kit_id, JOBS.c.title)
        for row in store.batches.each(batch.id, "succeeded", columns):
            name = f"kit-{row.number + 1:05d}.zip"
            parts = store.kits.parts(row.kit_id, _CHUNK)
            try:
                first = next(parts)
            except FileNotFoundError:
                # It was deleted in the meantime, so the list leaves it out too.
                continue
            with archive.open(_entry(name), "w") as member:
                for part in chain((first,), parts):
                    member.write(part)
                    yield tap.drained()
            kits.append({"number": row.number + 1, "title": row.title, "file": name})
        contents = _contents(store, batch, kits)
        archive.writestr(_entry("batch.json"), orjson.dumps(contents, option=orjson.OPT_INDENT_2))
    yield tap.drained()


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, NO_DATE)
    entry.external_attr = 0o644 << 16
    return entry


def _contents(store: Store, batch: Any, kits: list[dict[str, Any]]) -> dict[str, Any]:  # noqa: ANN401
    failures = []
    for row in store.batches.each(batch.id, "failed", (JOBS.c.title, JOBS.c.problem)):
        problem = orjson.loads(row.problem)
        kept = {name: value for name, value in problem.items() if name not in _OWN}
        failures.append({"number": row.number + 1, "title": row.title, "problem": kept})
    return {
        "title": batch.title,
        **({"number": batch.number} if batch.number else {}),
        "version": __version__,
        "total": batch.total,
        "kits": kits,
        "failures": failures,
    }
