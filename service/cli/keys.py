"""Create, list and revoke API keys."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime

from service.settings import from_environment
from service.storage.api_keys import SCOPES
from service.storage.store import Store


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    commands = parser.add_subparsers(dest="action", required=True)
    add = commands.add_parser("add", help="create a key and print it once")
    add.add_argument("name", help="who or what it is for")
    add.add_argument("--scope", choices=SCOPES, default="read")
    commands.add_parser("list", help="list keys without their secrets")
    revoke = commands.add_parser("revoke", help="revoke a key for good")
    revoke.add_argument("id", help="the part of the key before the dot")


def run(stated: argparse.Namespace) -> int:
    """Run the command; return the exit code."""
    store = Store(from_environment())
    try:
        if stated.action == "add":
            print(store.keys.add(stated.name, stated.scope))
        elif stated.action == "list":
            for each in store.keys.all():
                made = datetime.fromtimestamp(each.created_us / 1e6, UTC).isoformat("T", "seconds")
                state = "in use" if each.revoked_us is None else "revoked"
                print(f"{each.id}  {each.scope:<5}  {state:<7}  {made}  {each.name}")
        elif not store.keys.revoke(stated.id):
            print(f"There is no key {stated.id} in use.")
            return 2
    finally:
        store.close()
    return 0
