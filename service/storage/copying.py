"""Copying a store's files from one place to another, each compared after it was written."""

from __future__ import annotations

from service.storage.files import Files
from service.storage.found_files import FilesUnreachableError
from service.storage.identity import NAME
from service.storage.kits import KITS_FOLDER
from service.storage.lost_and_found import LOST_AND_FOUND
from service.storage.results import RESULTS


def copy_files(source: Files, target: Files) -> int:
    """Copy all files that a store keeps; return how many.

    It can be repeated: what is there already is replaced. The store's id comes last, so that a
    target without it was not copied whole.

    Raises:
        OSError: when the target holds another store, or a file cannot be read or written.
    """
    store_id = source.read(NAME)
    if target.exists(NAME) and target.read(NAME) != store_id:
        raise OSError(f"{target.place('')} holds the files of another store. Nothing was copied.")
    count = 0
    for folder in (KITS_FOLDER, RESULTS, LOST_AND_FOUND):
        for each in source.list(folder):
            # Temporary files of processes that were killed stay behind.
            if not each.last.startswith("."):
                _copy(source, target, each.name)
                count += 1
    _copy(source, target, NAME)
    return count + 1


def _copy(source: Files, target: Files, name: str) -> None:
    data = source.read(name)
    target.write(name, data)
    if target.read(name) != data:
        raise FilesUnreachableError(f"{target.place(name)} is not what was written.")
