"""Print the text of every problem type, the content of openapi/problems.md."""

from __future__ import annotations

import argparse
import sys

from service.http.problem_types import markdown


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments: none."""
    del parser


def run(stated: argparse.Namespace) -> int:
    """Print the text; return the exit code."""
    del stated
    sys.stdout.write(markdown())
    return 0
