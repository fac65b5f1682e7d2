"""Back up a store with SQLite to one file, while it is in use: the database and kits' files.

With PostgreSQL, use pg_dump and copy the data folder; openapi/OPERATIONS.md has the commands.
"""

from __future__ import annotations

import argparse
import sqlite3
import sys
from pathlib import Path

from geometry.sentences import number_of
from service.settings import Settings, SettingsError, from_environment
from service.storage.archives import whole_file
from service.storage.backup import BackupError, Manifest, write_backup
from service.storage.database_file import database_file


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("file", help="the backup's file; - writes it to standard output")
    parser.add_argument("--overwrite", action="store_true", help="replace an existing file")


def run(stated: argparse.Namespace) -> int:
    """Write the backup; return the exit code: 2 when it holds a damaged kit.

    Raises:
        BackupError: when the database cannot be read.
    """
    settings = from_environment()
    try:
        manifest = _write(settings, stated)
    except sqlite3.Error as error:
        raise BackupError(f"The database cannot be read: {error}") from None
    left = len(manifest.deleted)
    said = f"{number_of(manifest.kits, 'kit')}, {number_of(len(manifest.files), 'file')}" + (
        f"; left out, deleted in the meantime: {number_of(left, 'kit')}" if left else ""
    )
    print(said, file=sys.stderr)
    for kit_id, detail in manifest.damaged.items():
        print(f"Kit {kit_id} is backed up as it is: {detail}.", file=sys.stderr)
    return 2 if manifest.damaged else 0


def _write(settings: Settings, stated: argparse.Namespace) -> Manifest:
    database = database_file(settings)
    if not database.is_file():
        raise SettingsError((f"There is no database {database} to back up.",))
    if stated.file == "-":
        return write_backup(database, settings.data, sys.stdout.buffer)
    path = Path(stated.file).absolute()
    if path.exists() and not stated.overwrite:
        raise BackupError(f"{path} exists already; --overwrite replaces it.")
    if path.is_relative_to(settings.data.absolute()):
        raise BackupError(f"{path} is in the data folder: a backup belongs elsewhere.")
    with whole_file(path) as file:
        return write_backup(database, settings.data, file)
