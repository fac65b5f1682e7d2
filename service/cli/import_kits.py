"""Import kits from their zips: rebuilds their rows, byte for byte where possible.

Without a path: imports from the store's lost and found, and kit files that the database does not
list. With paths: imports these zips and those in these folders (such as another store's); they stay
where they are.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from service.cli.when_alone import when_alone
from service.storage.found_files import FoundFile
from service.storage.kits import KITS_FOLDER
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


@dataclass(frozen=True)
class _Zip:
    """A zip to import: its place for people, and its name in the store unless it is elsewhere."""

    place: str
    stem: str
    data: bytes
    modified_us: int
    name: str = ""


def _import(store: Store, given: list[Path]) -> int:
    counts = {"taken back": 0, "there already": 0, "refused": 0}
    for place, load in _zips(given) if given else _own(store):
        try:
            outcome, remark = _take(store, load())
        except (NoKitError, OSError) as error:
            outcome, remark = "refused", str(error)
        counts[outcome] += 1
        if remark:
            print(f"{place}: {outcome}: {remark}")
    print(", ".join(f"{count} {outcome}" for outcome, count in counts.items()))
    return 2 if counts["refused"] else 0


def _zips(given: Iterable[Path]) -> Iterator[tuple[str, Callable[[], _Zip]]]:
    for each in given:
        for path in sorted(each.rglob("*.zip")) if each.is_dir() else [each]:
            yield str(path), partial(_of_path, path)


def _of_path(path: Path) -> _Zip:
    return _Zip(str(path), path.stem, path.read_bytes(), path.stat().st_mtime_ns // 1000)


def _own(store: Store) -> Iterator[tuple[str, Callable[[], _Zip]]]:
    """Yield a store's zips that its database does not list."""
    for found in list(store.lost_and_found):
        if found.suffix == ".zip":
            yield store.files.place(found.name), partial(_of_store, store, found)
    young = 0
    kits = (each for each in store.files.list(KITS_FOLDER) if each.suffix == ".zip")
    for step in in_steps(kits):
        listed = store.kits.listed([each.stem for each in step if is_kit(each)])
        for found in step:
            if found.stem in listed:
                continue
            if time.time() - found.modified_s < _SETTLED_S:
                young += 1
                continue
            yield store.files.place(found.name), partial(_of_store, store, found)
    if young:
        print(f"{young} kit files are younger than a minute and were left alone; run this again.")


def _of_store(store: Store, found: FoundFile) -> _Zip:
    place, data = store.files.place(found.name), store.files.read(found.name)
    return _Zip(place, found.stem, data, int(found.modified_s * 1e6), found.name)


def _take(store: Store, zipped: _Zip) -> tuple[str, str]:
    """Import one kit; return the outcome and a remark."""
    made = rebuilt(zipped.data, zipped.stem, zipped.modified_us)
    kit_id = made.kit.row.id
    remark = (
        "" if made.is_exact else "it has the file's time, because the zip does not state its own"
    )
    if store.kits.listed([kit_id]):
        outcome, remark = "there already", _put_back(store, made, zipped.data)
    else:
        store.kits.take_back(made.kit)
        outcome = "taken back"
    if zipped.name and zipped.name != store.kits.name(kit_id):
        # It is now stored among the kits, under its own name.
        store.files.delete(zipped.name)
    return outcome, remark


def _put_back(store: Store, made: Rebuilt, data: bytes) -> str:
    """Restore a listed kit's file, if it is missing and this zip matches."""
    kit_id = made.kit.row.id
    if store.files.exists(store.kits.name(kit_id)):
        return ""
    if made.kit.archive.sha256 != store.kits.archive_sha256(kit_id):
        raise NoKitError(f"kit {kit_id} is listed with another zip")
    store.files.write(store.kits.name(kit_id), data)
    return "its file was missing and is back"
