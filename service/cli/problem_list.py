"""Print the text of every type of problem, as it is kept in openapi/problems.md."""

from __future__ import annotations

import argparse
import sys

from service.http.problem_types import markdown


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """State the command's arguments: none."""
    del parser


def run(stated: argparse.Namespace) -> int:
    """Print the text; returns the exit code."""
    del stated
    sys.stdout.write(markdown())
    return 0
