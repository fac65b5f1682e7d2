"""Restore a backup into an empty data folder; all of it is checked before any of it is in place."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from geometry.sentences import number_of
from service.settings import from_environment
from service.storage.database_file import database_file
from service.storage.restore import restore


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("file", help="the backup's file; - reads it from standard input")


def run(stated: argparse.Namespace) -> int:
    """Restore; return the exit code: 2 when the backup holds a damaged kit."""
    settings = from_environment()
    database = database_file(settings)
    if stated.file == "-":
        manifest = restore(sys.stdin.buffer, settings.data, database)
    else:
        with Path(stated.file).open("rb") as file:
            manifest = restore(file, settings.data, database)
    print(
        f"Restored {number_of(manifest.kits, 'kit')} into {settings.data}, as they were at "
        f"{manifest.created_at}; every hash agrees."
    )
    for kit_id, detail in manifest.damaged.items():
        print(f"Kit {kit_id} was backed up as it was: {detail}.")
    return 2 if manifest.damaged else 0
