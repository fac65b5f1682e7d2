"""Create a kit from a request in a file, without a server.

Its files are written into a folder; with --store the kit is also kept in the service's data folder,
as if it had been sent to the service.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
import uuid
from pathlib import Path

from adapters import plugins
from service.answers.kits import LayoutsAnswer
from service.cli.progress import shown
from service.errors import Fault, InvalidRequestError
from service.kits import Bundle, kit
from service.kits.archive import DESCRIPTION, description, with_archive
from service.requests.kits import KitRequest, kit_request
from service.requests.saved_prices import with_saved_prices
from service.sandbox.nester import installed
from service.schemas import strict_json
from service.setting_values import default_data
from service.tools.built_in import BUILT_IN

_MAX_DEPTH = 32


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("request", help="a kit request as POST /v1/kits takes it; - reads stdin")
    parser.add_argument("--out", required=True, type=Path, help="folder for the kit's files")
    parser.add_argument(
        "--store", action="store_true", help="also keep the kit in the service's data folder"
    )
    parser.add_argument(
        "--overwrite", action="store_true", help="replace files of the same names in the folder"
    )


def run(stated: argparse.Namespace) -> int:
    """Create the kit; return the exit code."""
    raw = sys.stdin.buffer.read() if stated.request == "-" else Path(stated.request).read_bytes()
    document = strict_json.loads(raw, max_depth=_MAX_DEPTH)
    if not stated.store:
        # The data folder is not opened, but there may be one.
        plugins.hide(Path(os.environ.get("QUARTERSEAM_DATA") or default_data(os.environ)))
        _cut(stated, _without_callback(kit_request(document, BUILT_IN.get)))
        return 0
    # Imported here, because the database takes long to load and is not needed otherwise.
    from service.settings import from_environment  # noqa: PLC0415
    from service.storage.new_kits import new_kit  # noqa: PLC0415
    from service.storage.store import Store  # noqa: PLC0415

    store = Store(from_environment())
    try:
        # Before anything is written: a store that takes nothing is found out first.
        request = kit_request(
            with_saved_prices(document, store.price_lists.document),
            lambda name: BUILT_IN.get(name) or store.cutters.document(name),
        )
        bundle = _cut(stated, _without_callback(request))
        made = new_kit(with_archive(bundle), str(uuid.uuid4()), time.time_ns() // 1000)
        store.kits.save(made)
    finally:
        store.close()
    print(f"stored as kit {made.row.number} ({made.row.id})")
    return 0


def _without_callback(request: KitRequest) -> KitRequest:
    """Return a request that asks for no callback.

    Raises:
        InvalidRequestError: for one that does.
    """
    if request.callback is not None:
        fault = Fault("#/callback", "This command calls nobody back; leave this out.")
        raise InvalidRequestError("1 value cannot be used.", [fault])
    return request


def _cut(stated: argparse.Namespace, request: KitRequest) -> Bundle:
    """Create the kit and write its files."""
    with shown() as progress:
        bundle = kit(request, nester=installed(), progress=progress)
    files = {**bundle.files, DESCRIPTION: description(bundle)}
    write(stated.out, files, overwrite=stated.overwrite)
    for line in summary(bundle.answer):
        print(line)
    print(f"{len(files)} files in {stated.out}")
    return bundle


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


def summary(answer: LayoutsAnswer) -> list[str]:
    """Return a kit's summary as text."""
    lines = [f"{answer.title} ({answer.number})"]
    for run in answer.runs:
        made = ", ".join(
            f"{piece}: {each.made} of {each.requested}"
            + (f" ({each.spare} spare)" if each.spare else "")
            for piece, each in run.totals.items()
        )
        loads = sum(load.repeats for load in run.loads)
        lines.append(
            f"  run {run.number}: {run.cut}, {run.material.name}, "
            f"{loads} {'load' if loads == 1 else 'loads'}; {made}"
        )
    lines.extend(f"  note: {warning}" for warning in answer.warnings)
    return lines
