"""The addresses of everything that the service stores, and their places in answers."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from service.answers.kits import LayoutsAnswer
from service.answers.loads import PreviewLoadAnswer

SVG = "image/svg+xml"
PNG = "image/png"
PDF = "application/pdf"
HTML = "text/html"
TEXT = "text/plain"
CSV = "text/csv"
#: Members of a kit's answer that hold addresses of documents.
PRINTED = (
    "run_sheet",
    "run_sheet_page",
    "labels",
    "cutting_list",
    "quote_sheet",
    "quote_page",
)
#: Members of a load's answer that hold addresses of pictures.
PICTURES = ("picture", "path_picture")


def kit_address(kit_id: str) -> str:
    """Return the path of a kit."""
    return f"/v1/kits/{kit_id}"


def job_address(job_id: str) -> str:
    """Return the path of a job."""
    return f"/v1/jobs/{job_id}"


def batch_address(batch_id: str) -> str:
    """Return the path of a batch."""
    return f"/v1/batches/{batch_id}"


def timestamp(microseconds: int) -> str:
    """Return a time in the format of RFC 3339, in UTC."""
    return datetime.fromtimestamp(microseconds / 1e6, UTC).isoformat(timespec="microseconds")


def addressed(answer: Mapping[str, Any], kit_id: str) -> dict[str, Any]:
    """Return a kit's answer with the addresses of its files on this server.

    It takes JSON values, because answers of older versions are read from their zips.
    """
    start = kit_address(kit_id) + "/"

    def at_home(load: Mapping[str, Any]) -> dict[str, Any]:
        files = [{**file, "href": start + file["href"]} for file in load.get("files", ())]
        pictures = {name: start + load[name] for name in PICTURES if name in load}
        return {**load, **pictures, "files": files}

    runs = [{**run, "loads": [at_home(load) for load in run["loads"]]} for run in answer["runs"]]
    printed = {name: start + answer[name] for name in PRINTED if name in answer}
    return {**answer, "runs": runs, **printed}


def with_pictures(answer: LayoutsAnswer, files: Mapping[str, bytes]) -> LayoutsAnswer:
    """Return a preview's answer with its pictures as data URLs (RFC 2397).

    Nothing of a preview is stored, so its pictures have no other address.
    """

    def inside(load: PreviewLoadAnswer) -> PreviewLoadAnswer:
        path = None if load.path_picture is None else _data_address(files, load.path_picture)
        return replace(load, picture=_data_address(files, load.picture), path_picture=path)

    runs = [replace(run, loads=[inside(load) for load in run.loads]) for run in answer.runs]
    return replace(answer, runs=runs)


def _data_address(files: Mapping[str, bytes], href: str) -> str:
    data = files[href.removeprefix("files/")]
    return f"data:{SVG};base64,{base64.b64encode(data).decode()}"
