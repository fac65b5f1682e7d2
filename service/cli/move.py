"""Move a store's rows to the database that QUARTERSEAM_DATABASE names, from one machine to several.

Stop every server first. Kits' files stay in the data folder, which the machines then share, or are
copied to the object store that QUARTERSEAM_FILES names. The old database is kept, but cannot be
used again.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from service.settings import SettingsError, from_environment
from service.storage.copying import copy_files
from service.storage.engines import open_engine
from service.storage.files import files_of
from service.storage.folder_files import FolderFiles
from service.storage.identity import Identity
from service.storage.kits import Kits
from service.storage.migrations import migrate
from service.storage.moving import move
from service.storage.room import Room


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument(
        "--source", type=Path, help="SQLite file to move from; the data folder's when not given"
    )


def run(stated: argparse.Namespace) -> int:
    """Move; return the exit code.

    Raises:
        SettingsError: when the settings do not name the database to move from or to.
    """
    settings = from_environment()
    if not settings.database:
        raise SettingsError(("Set QUARTERSEAM_DATABASE to the database to move to.",))
    file = stated.source or settings.data / "quarterseam.sqlite"
    if not file.is_file():
        raise SettingsError((f"There is no database {file} to move from.",))
    source = open_engine(f"sqlite:///{file}")
    # Copying has no time limit.
    target = open_engine(
        settings.database, connect_s=settings.database_connect_seconds, statement_s=0
    )
    if target.url == source.url:
        raise SettingsError(("QUARTERSEAM_DATABASE is the database to move from.",))
    try:
        migrate(source)
        files = FolderFiles(settings.data)
        kits = Kits(source, files, Room(settings.data))
        store_id = Identity(source, files, kits).check()
        migrate(target)
        if settings.files:
            copied = copy_files(files, files_of(settings))
            print(f"Copied {copied} files to {settings.files}.")
        counts = move(source, target, store_id)
    finally:
        source.dispose()
        target.dispose()
    print(f"Moved store {store_id}: " + ", ".join(f"{n} {name}" for name, n in counts.items()))
    print(f"{file} is kept but no longer used; delete it once the service works.")
    return 0
