"""The command line: serve, demo, cut, and what operators need.

Each command's module is imported only when it is called, so that ``cut`` starts without a
server's or a database's code.
"""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Sequence
from typing import NamedTuple

from service.http.problems import ProblemError
from service.settings import SettingsError


class Command(NamedTuple):
    """A command: its module under ``service.cli`` and what it does."""

    module: str
    help: str


COMMANDS = {
    "serve": Command("serve", "answer over HTTP"),
    "demo": Command("demo", "make the example kit, its files and pictures"),
    "cut": Command("cut", "make a kit from a request in a file, without a server"),
    "keys": Command("keys", "make, list and revoke keys"),
    "import": Command("import_kits", "take kits back from their zips"),
    "move": Command("move", "move a store's rows to another database"),
    "sweep": Command("sweep", "remove and set aside now what a server would within the hour"),
    "openapi": Command("document", "print the OpenAPI document"),
    "worker": Command("worker", "do jobs for servers that share database, queue and data folder"),
    "settings": Command("setting_list", "list every setting and its default"),
    "problems": Command("problem_list", "print the text of every type of problem"),
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit code: 0, 2 for what the caller can put right."""
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
    except ProblemError as error:
        print(error.detail, file=sys.stderr)
        for each in error.errors:
            print(f"  {each.pointer}: {each.detail}", file=sys.stderr)
    except OSError as error:
        print(error, file=sys.stderr)
    except Exception as error:
        # The database's code is loaded only when a command needed it. What it says of itself
        # may hold the address with its password; the driver's own text does not.
        cause = getattr(error, "orig", None)
        if cause is None:
            raise
        print(f"The database does not answer: {cause}".strip(), file=sys.stderr)
    return 2


def _listing() -> str:
    return "; ".join(f"{name}: {each.help}" for name, each in sorted(COMMANDS.items()))
