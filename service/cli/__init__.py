"""The command line: serve, demo, cut, and commands for operators.

Each command's module is imported only when it is called, so that ``cut`` starts without a
server's or a database's code.
"""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Sequence
from typing import NamedTuple

from service.errors import ReportedError
from service.settings import SettingsError


class Command(NamedTuple):
    """A command: its module under ``service.cli`` and its help."""

    module: str
    help: str


COMMANDS = {
    "serve": Command("serve", "answer over HTTP"),
    "demo": Command("demo", "create the example kit with its files and pictures"),
    "cut": Command("cut", "create a kit from a request in a file, without a server"),
    "keys": Command("keys", "create, list, rotate, revoke keys; pass on what they made"),
    "import": Command("import_kits", "import kits from their zips"),
    "move": Command("move", "move a store's rows to another database"),
    "backup": Command("backup", "back up the database and kits' files to one file"),
    "restore": Command("restore", "restore a backup into an empty data folder"),
    "check": Command("check", "list and repair what is missing, orphaned or damaged"),
    "sweep": Command("sweep", "run the hourly sweep now"),
    "openapi": Command("document", "print the OpenAPI document"),
    "worker": Command("worker", "run jobs for servers that share database, queue and files"),
    "load": Command("load", "send requests from several clients to a server, and time its answers"),
    "healthy": Command("healthy", "check that the server of this container answers"),
    "settings": Command("setting_list", "list every setting and its default"),
    "problems": Command("problem_list", "print the text of every type of problem"),
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; return the exit code: 0, or 2 for errors that the caller can correct."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    parser = argparse.ArgumentParser(prog="python -m service", description=__doc__)
    parser.add_argument("command", choices=sorted(COMMANDS), metavar="COMMAND", help=_listing())
    stated = parser.parse_args(given[:1] or ["--help"])
    module = importlib.import_module(f"service.cli.{COMMANDS[stated.command].module}")
    own = argparse.ArgumentParser(
        prog=f"python -m service {stated.command}", description=module.__doc__
    )
    module.add_arguments(own)
    try:
        return int(module.run(own.parse_args(given[1:])))
    except SettingsError as error:
        for fault in error.faults:
            print(fault, file=sys.stderr)
    except ReportedError as error:
        print(error.detail, file=sys.stderr)
        for each in error.errors:
            print(f"  {each.pointer}: {each.detail}", file=sys.stderr)
    except OSError as error:
        print(error, file=sys.stderr)
    except Exception as error:
        # The database's code is loaded only by commands that use it. SQLAlchemy's message may hold
        # the address with its password; the driver's own message does not.
        cause = getattr(error, "orig", None)
        if cause is None:
            raise
        print(f"The database does not answer: {cause}".strip(), file=sys.stderr)
    return 2


def _listing() -> str:
    return "; ".join(f"{name}: {each.help}" for name, each in sorted(COMMANDS.items()))
