"""Files on disk: written whole, private to their owner."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from service.storage.permissions import FILE_MODE


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, even through a crash.

    Raises:
        OSError: when the disk is full or the folder cannot be written; no file is left behind.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with whole_file(path) as file:
        file.write(data)
    sync_folder(path.parent)


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """Write a file whole or not at all; only its owner may read it.

    Raises:
        OSError: when it cannot be written; no file is left behind then.
    """
    draft = path.with_name(f".{path.name}.{secrets.token_hex(8)}.draft")
    try:
        with new_file(draft) as file:
            yield file
        draft.replace(path)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise


@contextmanager
def new_file(path: Path) -> Iterator[BinaryIO]:
    """Write a file that does not exist yet, and flush it; only its owner may read it.

    Raises:
        OSError: when it exists, or cannot be written.
    """
    with open(path, "xb", opener=_private) as file:
        yield file
        file.flush()
        os.fsync(file.fileno())


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, FILE_MODE)


def sync_folder(folder: Path) -> None:
    """Flush a folder, so that a new name in it survives a power cut."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
