"""Restoring a backup into an empty data folder, once all of it has been checked.

Members are unpacked into a draft folder beside their places, compared with the manifest and with
the hashes in the database, and renamed, the database last.
"""

from __future__ import annotations

import hashlib
import re
import secrets
import shutil
import tarfile
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import IO, BinaryIO

import orjson
from sqlalchemy import Engine, select
from sqlalchemy.exc import DBAPIError

from service.storage.archives import new_file, sync_folder, write_whole
from service.storage.backup import DATABASE, FORMAT, MANIFEST, BackupError, Manifest, kit_member
from service.storage.database_file import integrity_errors
from service.storage.engines import open_engine
from service.storage.identity import NAME
from service.storage.kits import delete_rows
from service.storage.migrations import migrate
from service.storage.notes import sha256_without_note
from service.storage.permissions import FOLDER_MODE, make_private
from service.storage.tables import KIT_FILES, KITS, STORE

_DRAFT = re.compile(r"\.restore\.[0-9a-f]{16}\.draft")
#: What an empty folder may hold: a file system's own folder.
_IGNORED = {"lost+found"}
_ID = r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}"
_MEMBERS = re.compile(rf"(kits/[0-9a-f]{{2}}/{_ID}\.zip|results/[0-9a-f]{{2}}/{_ID}\.json)")
_CHUNK = 1 << 20
#: Errors of the database that are looked for: the first is stated, and how many there are.
_MAX_ERRORS = 5


def restore(source: BinaryIO, folder: Path, database: Path) -> Manifest:
    """Restore a backup; return its manifest.

    Args:
        source: the tar file; read in order, so it may be a pipe.
        folder: the data folder; must be missing or empty.
        database: where the database goes; must not exist.

    Raises:
        BackupError: when the places are in use, or the backup is not whole; nothing is left behind.
        LaterVersionError: when a later version of the service wrote the database.
        OSError: when something cannot be read or written.
    """
    _check_empty(folder, database)
    make_private(folder, NAME)
    draft = folder / f".restore.{secrets.token_hex(8)}.draft"
    draft.mkdir(mode=FOLDER_MODE)
    try:
        manifest = _unpack(source, draft)
        store_id = _check_database(draft, manifest)
        _put_in_place(draft, folder, database, store_id)
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    return manifest


def _check_empty(folder: Path, database: Path) -> None:
    """Raise an error unless both places are free; remove drafts that a killed restore left."""
    held = sorted(folder.iterdir()) if folder.exists() else []
    for path in held:
        if _DRAFT.fullmatch(path.name):
            shutil.rmtree(path)
    used = [path.name for path in held if path.exists() and path.name not in _IGNORED]
    if used:
        raise BackupError(
            f"The data folder {folder} is not empty: it holds {', '.join(used[:5])}. Nothing was "
            "changed. Restore into a new folder (QUARTERSEAM_DATA), then use that one."
        )
    if database.exists():
        raise BackupError(f"The database {database} exists already. Nothing was changed.")


def _unpack(source: BinaryIO, draft: Path) -> Manifest:
    """Unpack all members and compare their hashes with the manifest."""
    found: dict[str, str] = {}
    manifest: Manifest | None = None
    try:
        for member, data in _members(source):
            if member == MANIFEST:
                manifest = _read_manifest(data.read())
                break
            found[member] = _write(draft / member, data)
    except (tarfile.TarError, EOFError) as error:
        raise BackupError(
            f"This is not a whole backup of this service: {error}. Nothing was changed."
        ) from None
    if manifest is None:
        raise BackupError("The backup has been cut short: its end is missing. Nothing was changed.")
    differing = sorted(
        name
        for name in found.keys() | manifest.files.keys()
        if found.get(name) != manifest.files.get(name)
    )
    if differing:
        raise BackupError(
            f"The backup is damaged: {len(differing)} of its files are missing or have changed, "
            f"the first is {differing[0]}. Nothing was changed. Use another backup."
        )
    return manifest


def _members(source: BinaryIO) -> Iterator[tuple[str, IO[bytes]]]:
    with tarfile.open(fileobj=source, mode="r|") as archive:
        for member in archive:
            known = member.name in {DATABASE, MANIFEST} or _MEMBERS.fullmatch(member.name)
            data = archive.extractfile(member) if known and member.isreg() else None
            if data is None:
                raise BackupError(
                    f"This is not a backup of this service: it holds {member.name!r}. Nothing "
                    "was changed."
                )
            yield member.name, data


def _write(path: Path, data: IO[bytes]) -> str:
    path.parent.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
    digest = hashlib.sha256()
    with new_file(path) as file:
        while part := data.read(_CHUNK):
            digest.update(part)
            file.write(part)
    return digest.hexdigest()


def _read_manifest(data: bytes) -> Manifest:
    try:
        values = orjson.loads(data)
        later = values["format"] > FORMAT
        known = {each.name for each in fields(Manifest)}
        manifest = Manifest(**{name: values[name] for name in known & values.keys()})
    except (ValueError, TypeError, KeyError) as error:
        raise BackupError(f"The backup's manifest cannot be read: {error!r}.") from None
    if later:
        raise BackupError(
            f"The backup was made by version {manifest.version} of the service, which is later "
            "than this one. Nothing was changed. Install that version."
        )
    return manifest


def _check_database(draft: Path, manifest: Manifest) -> str:
    """Bring the database up to date, compare the kits with it, and return the store's id."""
    engine, store_id = open_engine(f"sqlite:///{draft / DATABASE}"), manifest.store
    try:
        problems = [
            f"the database is damaged: {error}" for error in integrity_errors(engine, _MAX_ERRORS)
        ]
        if not problems:
            migrate(engine)
            _leave_out(engine, manifest.deleted)
            problems = list(_wrong_kits(engine, draft, manifest))
            with engine.connect() as connection:
                store_id = connection.execute(select(STORE.c.id)).scalar() or store_id
                connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    except DBAPIError as error:
        problems = [f"the database cannot be read: {error.orig}"]
    finally:
        engine.dispose()
    if problems:
        raise BackupError(
            f"The backup is damaged: {problems[0]} ({len(problems)} errors). Nothing was changed. "
            "Use another backup."
        )
    return store_id


def _leave_out(engine: Engine, kit_ids: list[str]) -> None:
    """Delete the rows of kits that were deleted while the backup was written."""
    with engine.begin() as connection:
        for kit_id in kit_ids:
            delete_rows(connection, kit_id)


def _wrong_kits(engine: Engine, draft: Path, manifest: Manifest) -> Iterator[str]:
    """Yield what is wrong with kits that the backup does not state as damaged itself."""
    query = select(KITS.c.id, KIT_FILES.c.sha256).outerjoin(
        KIT_FILES, (KIT_FILES.c.kit_id == KITS.c.id) & (KIT_FILES.c.name == "")
    )
    with engine.connect() as connection:
        for kit_id, sha256 in connection.execution_options(yield_per=500).execute(query):
            path = draft / kit_member(kit_id)
            if kit_id in manifest.damaged:
                continue
            if not path.exists():
                yield f"the file of kit {kit_id} is missing"
            elif sha256_without_note(path.read_bytes()) != sha256:
                yield f"the file of kit {kit_id} is not what was stored"


def _put_in_place(draft: Path, folder: Path, database: Path, store_id: str) -> None:
    """Rename everything into its place; without the database, no server uses the rest."""
    for name in ("kits", "results"):
        if (draft / name).exists():
            (draft / name).rename(folder / name)
    if store_id:
        write_whole(folder / NAME, f"{store_id}\n".encode())
    database.parent.mkdir(parents=True, exist_ok=True)
    # The database may be on another volume than the folder.
    staged = database.with_name(f".{database.name}.{secrets.token_hex(8)}.draft")
    shutil.move(draft / DATABASE, staged)
    staged.replace(database)
    sync_folder(database.parent)
