"""Zips on disk: written whole, read file by file."""

from __future__ import annotations

import os
import secrets
import zipfile
from pathlib import Path


def member(path: Path, name: str) -> bytes:
    """Return one file of a zip.

    Raises:
        KeyError: when it holds no such file.
        OSError: when it cannot be read.
        zipfile.BadZipFile: when it has been damaged.
    """
    with zipfile.ZipFile(path) as archive:
        return archive.read(name)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, even through a crash.

    Raises:
        OSError: when the disk is full or the folder cannot be written; no file is left behind.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{secrets.token_hex(8)}.draft")
    try:
        with open(draft, "xb", opener=_private) as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
        _sync_folder(path.parent)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def _sync_folder(folder: Path) -> None:
    """Flush a folder, so that a new name in it survives a power cut."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
