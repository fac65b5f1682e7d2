"""Print the OpenAPI document, the content of openapi/openapi.json."""

from __future__ import annotations

import argparse
import sys


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments: none."""
    del parser


def run(stated: argparse.Namespace) -> int:
    """Print the document; return the exit code."""
    del stated
    from service.app import create_app  # noqa: PLC0415
    from service.http import openapi  # noqa: PLC0415 - only this command needs these modules
    from service.settings import Settings  # noqa: PLC0415

    # The document does not depend on settings, and those of the environment may be wrong.
    sys.stdout.buffer.write(openapi.text(create_app(Settings())))
    return 0
