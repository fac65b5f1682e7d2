"""Create the example kit through the whole service, without opening a port."""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from flask.testing import FlaskClient

from service.answers.kits import KitAnswer
from service.app import create_app
from service.cli.cut import summary, write
from service.cli.progress import Progress, shown, unseen
from service.documents.pictures.png import png
from service.http import openapi as spec
from service.schemas.codec import read
from service.settings import Settings

EXAMPLE = "harbour-class-set"
#: Progress once the kit is created, and once its files are fetched.
_MADE, _FETCHED = 0.6, 0.8


class DemoError(OSError):
    """The service rejected the example."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument(
        "--out",
        type=Path,
        default=Path("demo-kit"),
        help="folder for the files (default: demo-kit in this folder)",
    )


def run(stated: argparse.Namespace) -> int:
    """Create the kit; return the exit code."""
    with tempfile.TemporaryDirectory(prefix="quarterseam-demo-") as scratch:
        client = create_app(Settings(data=Path(scratch))).test_client()
        with shown() as progress:
            answer, files = make(client, progress)
            pictures = _pictures(files, progress)
    write(stated.out, {**files, **pictures}, overwrite=True)
    for line in summary(read(KitAnswer, answer)):
        print(line)
    for name, data in sorted({**files, **pictures}.items()):
        print(f"  {len(data):>8} bytes  {stated.out / name}")
    for text in answer["cautions"]:
        print(f"  caution: {text}")
    return 0


def _pictures(files: Mapping[str, bytes], progress: Progress) -> dict[str, bytes]:
    """Return the pictures among the files as PNG."""
    drawn = {name: data for name, data in files.items() if name.endswith("-picture.svg")}
    made = {}
    for number, (name, data) in enumerate(drawn.items()):
        progress(_FETCHED + (1.0 - _FETCHED) * number / len(drawn), f"drawing {name}")
        made[name.removesuffix(".svg") + ".png"] = png(data.decode())
    return made


def make(
    client: FlaskClient, progress: Progress = unseen
) -> tuple[dict[str, Any], Mapping[str, bytes]]:
    """Create the example kit over HTTP; return its answer and its files, including the zip.

    Args:
        client: a test client of the service.
        progress: called with the progress.

    Raises:
        DemoError: when the service rejects the request.
    """
    progress(0.0, "making the kit")
    made = client.post("/v1/kits", json=spec.example(EXAMPLE))
    if made.status_code != 201:  # noqa: PLR2004 - created
        raise DemoError(f"The example kit was refused: {made.get_data(as_text=True)}")
    answer: dict[str, Any] = made.get_json()
    files = {"kit.zip": _fetch(client, made.headers["Location"], accept="application/zip")}
    links = [answer[name] for name in ("run_sheet", "run_sheet_page", "labels", "cutting_list")]
    for run_answer in answer["runs"]:
        for load in run_answer["loads"]:
            links += [load["picture"], *(file["href"] for file in load["files"])]
    for number, link in enumerate(links):
        name = link.rsplit("/", 1)[-1]
        progress(_MADE + (_FETCHED - _MADE) * number / len(links), f"fetching {name}")
        files[name] = _fetch(client, link)
    for kind in sorted({piece["shape"]["kind"] for piece in answer["request"]["pieces"]}):
        link = f"/v1/shapes/{kind}/picture.svg?seam_allowance=1/4&units=in"
        files[f"shape-{kind}-picture.svg"] = _fetch(client, link)
    return answer, files


def _fetch(client: FlaskClient, link: str, accept: str = "*/*") -> bytes:
    found = client.get(link, headers={"Accept": accept})
    if found.status_code != 200:  # noqa: PLR2004 - found
        raise DemoError(f"{link} was not found: {found.get_data(as_text=True)}")
    return found.get_data()
