"""Answer over HTTP until told to stop (SIGTERM or Ctrl-C); requests under way are finished."""

from __future__ import annotations

import argparse
import ipaddress
from dataclasses import replace

from service.settings import Settings, SettingsError, from_environment


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """State the command's arguments; each goes before its environment variable."""
    parser.add_argument("--host", help="address to listen on (QUARTERSEAM_HOST)")
    parser.add_argument("--port", type=int, help="port to listen on (QUARTERSEAM_PORT)")
    parser.add_argument("--check-config", action="store_true", help="check the settings and stop")


def run(stated: argparse.Namespace) -> int:
    """Serve; returns the exit code."""
    settings = from_environment()
    if stated.host is not None:
        settings = replace(settings, host=stated.host)
    if stated.port is not None:
        settings = replace(settings, port=stated.port)
    check(settings)
    if stated.check_config:
        print("The settings can be used.")
        return 0
    from service.server import Server  # noqa: PLC0415 - only this command needs a server

    Server(settings).run()
    return 0


def check(settings: Settings) -> None:
    """Refuse to serve what would be open to strangers.

    Raises:
        SettingsError: when it listens beyond this machine without keys and nobody said so.
    """
    if settings.auth == "auto" and not is_loopback(settings.host):
        raise SettingsError(
            (
                (
                    f"Listening on {settings.host} lets other machines in. Set QUARTERSEAM_AUTH=on "
                    "and make a key, or QUARTERSEAM_AUTH=off if something in front checks who asks."
                ),
            )
        )


def is_loopback(host: str) -> bool:
    """Return whether an address can be reached from this machine only."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False
