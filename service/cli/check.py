"""Check a store: list what is missing, orphaned or damaged, and repair what can be repaired.

It can run beside servers. Every kit's file and answer is compared with its hash.
"""

from __future__ import annotations

import argparse
import contextlib
from collections import Counter
from functools import partial
from pathlib import Path

from geometry.sentences import number_of
from service.cli.when_alone import when_alone
from service.settings import SettingsError
from service.storage.checkup import Checkup
from service.storage.good_copies import good_copies
from service.storage.store import Store


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("--repair", action="store_true", help="repair what can be repaired")
    parser.add_argument(
        "--backup", type=Path, help="a backup to take the files of missing and damaged kits from"
    )


def run(stated: argparse.Namespace) -> int:
    """Check; return the exit code: 2 when something remains wrong.

    Raises:
        SettingsError: when a backup is stated without ``--repair``.
    """
    if stated.backup and not stated.repair:
        raise SettingsError(("--backup is used with --repair.",))
    # Sweeps and imports move files, too.
    return when_alone(partial(_check, repair=stated.repair, backup=stated.backup))


def _check(store: Store, *, repair: bool, backup: Path | None) -> int:
    with contextlib.ExitStack() as stack:
        copies = stack.enter_context(good_copies(store.files, backup)) if repair else None
        checkup, counts, left = Checkup(store, copies), Counter[str](), 0
        for finding in checkup.run():
            counts[finding.kind] += 1
            left += not finding.repaired
            done = "repaired: " if finding.repaired else ""
            print(f"{finding.kind}: {done}{finding.subject}: {finding.detail}")
    found = ", ".join(f"{counts[kind]} {kind}" for kind in ("missing", "orphaned", "damaged"))
    print(f"{number_of(checkup.kits, 'kit')} checked: {found}; {left} not repaired")
    return 2 if left else 0
