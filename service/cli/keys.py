"""Create, list, rotate and revoke API keys, and pass on what a key made."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime

from service.settings import from_environment
from service.storage.api_keys import SCOPES
from service.storage.owners import NOBODY
from service.storage.store import Store

_MAX_DAYS = 36_500


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    commands = parser.add_subparsers(dest="action", required=True)
    add = commands.add_parser("add", help="create a key and print it once")
    add.add_argument("name", help="who or what it is for")
    add.add_argument("--scope", choices=SCOPES, default="read")
    add.add_argument("--days", type=_days, help="days after which it expires; never when left out")
    commands.add_parser("list", help="list keys, when they were last used, without their secrets")
    rotate = commands.add_parser("rotate", help="give a key another secret and print it once")
    rotate.add_argument("id", help="the part of the key before the dot")
    rotate.add_argument(
        "--keep-hours", type=_hours, default=0,
        help="hours for which the secret before is accepted, too; 0: it ends now",
    )  # fmt: skip
    rotate.add_argument("--days", type=_days, help="days after which the key expires, from now")
    revoke = commands.add_parser("revoke", help="revoke a key for good")
    revoke.add_argument("id", help="the part of the key before the dot")
    assign = commands.add_parser("assign", help="pass on to a key what belongs to none, or another")
    assign.add_argument("id", help="the part before the dot of the key whose it becomes")
    assign.add_argument("--of", default=NOBODY, help="the key whose it is; none when left out")


def _days(text: str) -> int:
    return _whole(text, 1, _MAX_DAYS)


def _hours(text: str) -> int:
    return _whole(text, 0, 24 * _MAX_DAYS)


def _whole(text: str, low: int, high: int) -> int:
    if not text.isdecimal() or not low <= int(text) <= high:
        raise argparse.ArgumentTypeError(f"state a whole number from {low} to {high}")
    return int(text)


def run(stated: argparse.Namespace) -> int:
    """Run the command; return the exit code."""
    store = Store(from_environment())
    try:
        return _done(store, stated)
    finally:
        store.close()


def _done(store: Store, stated: argparse.Namespace) -> int:
    keys = store.keys
    if stated.action == "add":
        print(keys.add(stated.name, stated.scope, days=stated.days))
        return 0
    if stated.action == "list":
        _list(store)
        return 0
    if stated.action == "assign":
        return _assign(store, stated.id, stated.of)
    if stated.action == "rotate":
        made = keys.rotate(stated.id, keep_hours=stated.keep_hours, days=stated.days)
        if made is not None:
            print(made)
            return 0
    elif keys.revoke(stated.id):
        return 0
    print(f"There is no key {stated.id} in use.")
    return 2


def _list(store: Store) -> None:
    for each in store.keys.all():
        used = "never used" if each.last_used_us is None else f"used {_time(each.last_used_us)}"
        ends = "" if each.expires_us is None else f"  expires {_time(each.expires_us)}"
        made = _time(each.created_us)
        print(f"{each.id}  {each.scope:<5}  {each.state:<7}  {made}  {used}{ends}  {each.name}")


def _assign(store: Store, key_id: str, of: str) -> int:
    key = store.keys.get(key_id)
    if key is None or key.state != "in use":
        print(f"There is no key {key_id} in use.")
        return 2
    counts = store.owners.assign(key_id, of)
    print(", ".join(f"{count} {table.replace('_', ' ')}" for table, count in counts.items()))
    return 0


def _time(when_us: int) -> str:
    return datetime.fromtimestamp(when_us / 1e6, UTC).isoformat("T", "seconds")
