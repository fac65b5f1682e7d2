"""Import kits from their zips: rebuilds their rows, byte for byte where possible.

Without a path: imports from the store's lost and found, and kit files that the database does not
list. With paths: imports these zips and those in these folders (such as another store's); they stay
where they are.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path

from service.cli.when_alone import when_alone
from service.storage.archives import write_whole
from service.storage.rebuild import NoKitError, Rebuilt, rebuilt
from service.storage.store import Store
from service.storage.sweep import in_steps, is_kit

#: Younger files may belong to a request that is still being answered.
_SETTLED_S = 60.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("paths", nargs="*", type=Path, help="zips of kits, or folders with some")


def run(stated: argparse.Namespace) -> int:
    """Import; return the exit code."""
    return when_alone(partial(_import, given=stated.paths))


def _import(store: Store, given: list[Path]) -> int:
    counts = {"taken back": 0, "there already": 0, "refused": 0}
    for path in _zips(given) if given else _own(store):
        try:
            outcome, remark = _take(store, path)
        except (NoKitError, OSError) as error:
            outcome, remark = "refused", str(error)
        counts[outcome] += 1
        if remark:
            print(f"{path}: {outcome}: {remark}")
    print(", ".join(f"{count} {outcome}" for outcome, count in counts.items()))
    return 2 if counts["refused"] else 0


def _zips(given: Iterable[Path]) -> Iterator[Path]:
    for path in given:
        yield from sorted(path.rglob("*.zip")) if path.is_dir() else [path]


def _own(store: Store) -> Iterator[Path]:
    """Yield a store's zips that its database does not list."""
    yield from sorted(path for path in store.lost_and_found if path.suffix == ".zip")
    young = 0
    for paths in in_steps(sorted(store.kits.folder.glob("*/*.zip"))):
        listed = store.kits.listed([path.stem for path in paths if is_kit(path)])
        for path in paths:
            if path.stem in listed:
                continue
            if time.time() - path.stat().st_mtime < _SETTLED_S:
                young += 1
                continue
            yield path
    if young:
        print(f"{young} kit files are younger than a minute and were left alone; run this again.")


def _take(store: Store, path: Path) -> tuple[str, str]:
    """Import one kit; return the outcome and a remark."""
    data = path.read_bytes()
    made = rebuilt(data, path.stem, path.stat().st_mtime_ns // 1000)
    kit_id = made.kit.row.id
    remark = (
        "" if made.is_exact else "it has the file's time, because the zip does not state its own"
    )
    if store.kits.listed([kit_id]):
        outcome, remark = "there already", _put_back(store, made, data)
    else:
        store.kits.take_back(made.kit)
        outcome = "taken back"
    if path.parent == store.lost_and_found.folder or (
        path.parent.parent == store.kits.folder and path != store.kits.path(kit_id)
    ):
        # It is now stored among the kits, under its own name.
        path.unlink()
    return outcome, remark


def _put_back(store: Store, made: Rebuilt, data: bytes) -> str:
    """Restore a listed kit's file, if it is missing and this zip matches."""
    kit_id = made.kit.row.id
    if store.kits.path(kit_id).exists():
        return ""
    if made.kit.archive.sha256 != store.kits.archive_sha256(kit_id):
        raise NoKitError(f"kit {kit_id} is listed with another zip")
    write_whole(store.kits.path(kit_id), data)
    return "its file was missing and is back"
