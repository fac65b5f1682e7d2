"""Answer over HTTP until told to stop (SIGTERM or Ctrl-C); requests under way are finished."""

from __future__ import annotations

import argparse
import os
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
    from service.shared_figures import FOLDER, shared_folder  # noqa: PLC0415 - only a server shares any

    # prometheus_client looks for its folder when it is imported.
    with shared_folder(settings.workers) as folder:
        os.environ.pop(FOLDER, None)
        if folder is not None:
            os.environ[FOLDER] = folder
        from service.server import Server  # noqa: PLC0415 - only this command needs a server

        Server(settings).run()
    return 0


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
