"""List every setting: its environment variable, its meaning and its default."""

from __future__ import annotations

import argparse
from dataclasses import MISSING, fields

from service.settings import Settings, variable


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments: none."""
    del parser


def run(stated: argparse.Namespace) -> int:
    """Print the list; return the exit code."""
    del stated
    for each in fields(Settings):
        default = "in the user's data folder" if each.default is MISSING else each.default
        if default in ((), "", None):
            default = "empty"
        wanted = (each.metadata["read"].__doc__ or "").rstrip(".")
        print(f"{variable(each.name)}\n    {each.metadata['meaning']}")
        print(f"    {wanted[0].lower() + wanted[1:]}; default: {default}")
    return 0
