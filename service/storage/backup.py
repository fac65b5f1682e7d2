"""Backups of a store with SQLite: one tar file with the database and the files that it names.

The database comes first, as it was at one moment; then the files of the kits that it lists; last a
manifest with the hash of each member. Kits that are created in the meantime are not in the backup.
A kit that is deleted in the meantime is named in the manifest, and restoring leaves it out.
"""

from __future__ import annotations

import hashlib
import io
import os
import secrets
import sqlite3
import tarfile
import time
from contextlib import closing
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import BinaryIO

import orjson

from service import __version__
from service.links import timestamp
from service.storage.notes import sha256_without_note
from service.storage.permissions import FILE_MODE

DATABASE = "quarterseam.sqlite"
MANIFEST = "manifest.json"
FORMAT = 1


class BackupError(OSError):
    """A backup that cannot be made or restored; the message says what to do."""


@dataclass
class Manifest:
    """What a backup holds; its last member.

    Args:
        version: of the service that wrote it.
        store: id of the store; empty for one of version 0.1.0.
        created_at: when the database was copied.
        kits: how many kits it restores.
        files: SHA-256 of every other member, by name.
        deleted: kits that the database lists and that were deleted before their file was read.
        damaged: kits whose file was missing or not what was stored, and what was wrong.
        format: of the backup.
    """

    version: str
    store: str
    created_at: str
    kits: int = 0
    files: dict[str, str] = field(default_factory=dict)
    deleted: list[str] = field(default_factory=list)
    damaged: dict[str, str] = field(default_factory=dict)
    format: int = FORMAT


def kit_member(kit_id: str) -> str:
    """Return the name of a kit's zip in a backup; the same as in the data folder."""
    return f"kits/{kit_id[:2]}/{kit_id}.zip"


def write_backup(database: Path, folder: Path, target: BinaryIO) -> Manifest:
    """Write a backup of a store, which may be in use; return its manifest.

    Args:
        database: the SQLite file.
        folder: the data folder.
        target: where the tar file goes; written in order, so it may be a pipe.

    Raises:
        BackupError: when the database was moved to another one.
        OSError: when something cannot be read or written.
        sqlite3.Error: when the database cannot be read.
    """
    with tarfile.open(fileobj=target, mode="w|", format=tarfile.PAX_FORMAT) as archive:
        draft = folder / f".backup.{secrets.token_hex(8)}.draft"
        try:
            return _Writer(archive, database, folder).write(draft)
        finally:
            draft.unlink(missing_ok=True)


class _Writer:
    """Writes one backup."""

    def __init__(self, archive: tarfile.TarFile, database: Path, folder: Path) -> None:
        self._archive, self._database, self._folder = archive, database, folder

    def write(self, draft: Path) -> Manifest:
        copied_us = time.time_ns() // 1000
        os.close(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, FILE_MODE))
        with closing(sqlite3.connect(draft)) as copy:
            with closing(self._connect()) as live:
                # All pages in one step: copied in several, the copy would begin again whenever
                # another process writes. Writers are not kept waiting.
                live.backup(copy)
            # One file, without a journal beside it.
            copy.execute("PRAGMA journal_mode=DELETE")
            manifest = Manifest(__version__, _store_id(copy), timestamp(copied_us))
            kits = copy.execute(
                "SELECT kits.id, kit_files.sha256 FROM kits LEFT JOIN kit_files"
                " ON kit_files.kit_id = kits.id AND kit_files.name = '' ORDER BY kits.id"
            ).fetchall()
            jobs = _finished_jobs(copy)
        with draft.open("rb") as file:
            manifest.files[DATABASE] = hashlib.file_digest(file, "sha256").hexdigest()
            file.seek(0)
            self._put(DATABASE, file, draft.stat().st_size, copied_us / 1e6)
        draft.unlink()
        for kit_id, sha256 in kits:
            self._add_kit(kit_id, sha256, manifest)
        for job_id in jobs:
            self._add_result(job_id, manifest)
        manifest.kits = len(kits) - len(manifest.deleted)
        data = orjson.dumps(asdict(manifest))
        self._put(MANIFEST, io.BytesIO(data), len(data), copied_us / 1e6)
        return manifest

    def _connect(self) -> sqlite3.Connection:
        return sqlite3.connect(
            f"{self._database.absolute().as_uri()}?mode=rw", uri=True, timeout=30
        )

    def _add_kit(self, kit_id: str, sha256: str | None, manifest: Manifest) -> None:
        name = kit_member(kit_id)
        path = self._folder / name
        try:
            data, modified = path.read_bytes(), path.stat().st_mtime
        except FileNotFoundError:
            if self._is_listed(kit_id):
                manifest.damaged[kit_id] = "its file is missing"
            else:
                manifest.deleted.append(kit_id)
            return
        if sha256_without_note(data) != sha256:
            manifest.damaged[kit_id] = "its file is not what was stored"
        self._add(name, data, modified, manifest)

    def _is_listed(self, kit_id: str) -> bool:
        with closing(self._connect()) as live:
            found = live.execute("SELECT 1 FROM kits WHERE id = ?", (kit_id,)).fetchone()
        return found is not None

    def _add_result(self, job_id: str, manifest: Manifest) -> None:
        name = f"results/{job_id[:2]}/{job_id}.json"
        path = self._folder / name
        try:
            data, modified = path.read_bytes(), path.stat().st_mtime
        except FileNotFoundError:
            # Results have a quota; jobs whose result was deleted say so.
            return
        self._add(name, data, modified, manifest)

    def _add(self, name: str, data: bytes, modified: float, manifest: Manifest) -> None:
        manifest.files[name] = hashlib.sha256(data).hexdigest()
        self._put(name, io.BytesIO(data), len(data), modified)

    def _put(self, name: str, data: BinaryIO, size: int, modified: float) -> None:
        member = tarfile.TarInfo(name)
        member.size, member.mtime, member.mode = size, int(modified), FILE_MODE
        self._archive.addfile(member, data)


def _tables(connection: sqlite3.Connection) -> set[str]:
    rows = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    return {name for (name,) in rows}


def _store_id(copy: sqlite3.Connection) -> str:
    """Return the id in a copy of the database; empty before stores had one.

    Raises:
        BackupError: when its rows were moved to another database.
    """
    if "store" not in _tables(copy):
        return ""
    row = copy.execute("SELECT id, moved_us FROM store").fetchone()
    if row is None:
        return ""
    if row[1] is not None:
        raise BackupError(
            "This database was moved to another one, which is now in use: back that one up. See "
            "openapi/OPERATIONS.md."
        )
    return str(row[0])


def _finished_jobs(copy: sqlite3.Connection) -> list[str]:
    """Return the ids of the jobs that may have a result file."""
    if "jobs" not in _tables(copy):
        return []
    rows = copy.execute("SELECT id FROM jobs WHERE state = 'succeeded' AND kit_id IS NULL")
    return [job_id for (job_id,) in rows]
