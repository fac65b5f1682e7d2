"""Create a kit from a request in a file and write its files into a folder, without a server."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from service.cli.progress import shown
from service.kits import kit
from service.kits.archive import DESCRIPTION, description
from service.requests.kits import kit_request
from service.sandbox.nester import installed
from service.schemas import strict_json
from service.tools.built_in import BUILT_IN

_MAX_DEPTH = 32


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("request", help="a kit request as POST /v1/kits takes it; - reads stdin")
    parser.add_argument("--out", required=True, type=Path, help="folder for the kit's files")
    parser.add_argument(
        "--overwrite", action="store_true", help="replace files of the same names in the folder"
    )


def run(stated: argparse.Namespace) -> int:
    """Create the kit; return the exit code."""
    raw = sys.stdin.buffer.read() if stated.request == "-" else Path(stated.request).read_bytes()
    request = kit_request(strict_json.loads(raw, max_depth=_MAX_DEPTH), BUILT_IN.get)
    with shown() as progress:
        bundle = kit(request, nester=installed(), progress=progress)
    files = {**bundle.files, DESCRIPTION: description(bundle)}
    write(stated.out, files, overwrite=stated.overwrite)
    for line in summary(bundle.answer):
        print(line)
    print(f"{len(files)} files in {stated.out}")
    return 0


def write(folder: Path, files: dict[str, bytes], *, overwrite: bool) -> None:
    """Write files, each whole or not at all.

    Raises:
        OSError: when the folder cannot be written, or holds files that may not be replaced.
    """
    folder.mkdir(parents=True, exist_ok=True)
    taken = sorted(name for name in files if (folder / name).exists())
    if taken and not overwrite:
        raise FileExistsError(
            f"{folder} already has {', '.join(taken[:5])}; name another folder, or --overwrite."
        )
    for name, data in sorted(files.items()):
        draft = folder / f".{name}.{os.getpid()}.draft"
        try:
            draft.write_bytes(data)
            draft.replace(folder / name)
        finally:
            draft.unlink(missing_ok=True)


def summary(answer: dict[str, Any]) -> list[str]:
    """Return a kit's summary as text."""
    lines = [answer["title"]]
    for number, run_answer in enumerate(answer["runs"], start=1):
        made = ", ".join(
            f"{piece}: {each['made']} of {each['asked']}"
            + (f" ({each['spare']} spare)" if each["spare"] else "")
            for piece, each in run_answer["totals"].items()
        )
        loads = sum(load_answer["repeats"] for load_answer in run_answer["loads"])
        lines.append(
            f"  run {number}: {run_answer['cut']}, {run_answer['material']['name']}, "
            f"{loads} {'load' if loads == 1 else 'loads'}; {made}"
        )
    lines.extend(f"  note: {warning}" for warning in answer["warnings"])
    return lines
