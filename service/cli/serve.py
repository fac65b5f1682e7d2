"""Serve HTTP until stopped (SIGTERM or Ctrl-C); running requests are finished first."""

from __future__ import annotations

import argparse
import os
from dataclasses import replace

from service.serving import memory_budget
from service.serving.early_children import fork_children_early
from service.settings import Settings, SettingsError, from_environment


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments; each overrides its environment variable."""
    parser.add_argument("--host", help="address to listen on (QUARTERSEAM_HOST)")
    parser.add_argument("--port", type=int, help="port to listen on (QUARTERSEAM_PORT)")
    parser.add_argument(
        "--no-worker",
        action="store_true",
        help="run no jobs here, only in workers (QUARTERSEAM_JOB_SLOTS=0)",
    )
    parser.add_argument("--check-config", action="store_true", help="check the settings and stop")


def run(stated: argparse.Namespace) -> int:
    """Serve; return the exit code."""
    settings = from_environment()
    if stated.host is not None:
        settings = replace(settings, host=stated.host)
    if stated.port is not None:
        settings = replace(settings, port=stated.port)
    if stated.no_worker:
        settings = replace(settings, job_slots=0)
    check(settings)
    each = settings.max_running_computations + settings.job_slots
    settings = memory_budget.fitted(
        settings, settings.workers, settings.workers * each, memory_budget.container_limit()
    )
    if stated.check_config:
        _check_store(settings)
        # A missing key is created by the first start.
        print("The settings can be used; the store answers.")
        return 0
    fork_children_early(settings)
    from service.http import first_key  # noqa: PLC0415 - needs the database
    from service.http.shared_figures import FOLDER, shared_folder  # noqa: PLC0415 - only servers share metrics

    if settings.files:
        from service.serving.first_look import check_store_apart  # noqa: PLC0415 - needs the database

        check_store_apart(settings)
    first_key.ensure(settings)
    # prometheus_client reads the path of its folder when it is imported.
    with shared_folder(settings.workers) as folder:
        os.environ.pop(FOLDER, None)
        if folder is not None:
            os.environ[FOLDER] = folder
        from service.serving.server import Server  # noqa: PLC0415 - only this command needs a server

        Server(settings).run()
    return 0


def _check_store(settings: Settings) -> None:
    from service.storage.store import Store  # noqa: PLC0415 - needs the database

    store = Store(settings)
    store.check()
    store.close()


def check(settings: Settings) -> None:
    """Raise an error for settings that would let strangers in.

    Raises:
        SettingsError: when keys are switched off and others can reach the service.
    """
    if settings.auth == "off" and not settings.on_loopback:
        from service.http.auth import open_door  # noqa: PLC0415 - needs the database

        raise SettingsError((f"QUARTERSEAM_AUTH=off cannot be used: {open_door(settings.host)}",))
