"""Print the OpenAPI document, as it is kept in openapi/openapi.json."""

from __future__ import annotations

import argparse
import sys


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """State the command's arguments: none."""
    del parser


def run(stated: argparse.Namespace) -> int:
    """Print the document; returns the exit code."""
    del stated
    from service.http import openapi  # noqa: PLC0415 - only this command needs what makes it
    from service.http.app import create_app  # noqa: PLC0415
    from service.settings import Settings  # noqa: PLC0415

    # The document does not depend on settings; those of the environment may not even be right.
    sys.stdout.buffer.write(openapi.text(create_app(Settings())))
    return 0
