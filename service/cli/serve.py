"""Answer over HTTP until told to stop (SIGTERM or Ctrl-C); requests under way are finished."""

from __future__ import annotations

import argparse
import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import replace

from service.settings import Settings, SettingsError, from_environment


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """State the command's arguments; each goes before its environment variable."""
    parser.add_argument("--host", help="address to listen on (QUARTERSEAM_HOST)")
    parser.add_argument("--port", type=int, help="port to listen on (QUARTERSEAM_PORT)")
    parser.add_argument(
        "--no-worker",
        action="store_true",
        help="do no jobs here: workers do them (QUARTERSEAM_JOB_SLOTS=0)",
    )
    parser.add_argument("--check-config", action="store_true", help="check the settings and stop")


def run(stated: argparse.Namespace) -> int:
    """Serve; returns the exit code."""
    settings = from_environment()
    if stated.host is not None:
        settings = replace(settings, host=stated.host)
    if stated.port is not None:
        settings = replace(settings, port=stated.port)
    if stated.no_worker:
        settings = replace(settings, job_slots=0)
    check(settings)
    if stated.check_config:
        _check_store(settings)
        print("The settings can be used; the store answers.")
        return 0
    # prometheus_client looks for its folder when it is imported.
    with _figures() as figures:
        os.environ["PROMETHEUS_MULTIPROC_DIR"] = figures
        from service.server import Server  # noqa: PLC0415 - only this command needs a server

        Server(settings, figures).run()
    return 0


@contextlib.contextmanager
def _figures() -> Iterator[str]:
    """Make the folder that the server's processes share, and remove it when the server ends.

    Processes that the server forks come past here too when they end, and must leave it.
    """
    folder, owner = tempfile.mkdtemp(prefix="quarterseam-figures-"), os.getpid()
    try:
        yield folder
    finally:
        if os.getpid() == owner:
            shutil.rmtree(folder, ignore_errors=True)


def _check_store(settings: Settings) -> None:
    from service.storage.store import Store  # noqa: PLC0415 - needs the database

    store = Store(settings)
    store.check()
    store.close()


def check(settings: Settings) -> None:
    """Refuse to serve what would be open to strangers, or shut to everybody.

    Raises:
        SettingsError: when keys are needed and there are none.
    """
    from service.keys import required  # noqa: PLC0415 - needs the database
    from service.storage.store import Store  # noqa: PLC0415

    if not required(settings):
        return
    store = Store(settings)
    in_use = [each for each in store.keys.all() if each.revoked_us is None]
    store.close()
    if not in_use:
        raise SettingsError(
            (
                (
                    f"Requests to {settings.host} need a key and there is none. Make one with: "
                    "python -m service keys add NAME --scope write. Or, if something in front "
                    "checks who asks, set QUARTERSEAM_AUTH=off."
                ),
            )
        )
