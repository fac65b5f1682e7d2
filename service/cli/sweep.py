"""Sweep now: delete expired kits and jobs, set aside files that the database does not list."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from service.cli.when_alone import BUSY
from service.settings import from_environment
from service.storage.store import Store


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments: none."""


def run(_: argparse.Namespace) -> int:
    """Sweep; return the exit code."""
    store = Store(from_environment())
    try:
        report = store.sweep()
        if report is None:
            print(BUSY)
            return 2
        print(", ".join(f"{name}: {value}" for name, value in asdict(report).items()))
        for warning in store.warnings():
            print(warning)
    finally:
        store.close()
    return 2 if report.refused else 0
