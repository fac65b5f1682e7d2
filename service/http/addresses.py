"""Adds this server's addresses to answers: a kit's id, time, and links to its files."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any

import orjson

from geometry.errors import InternalError
from service.kits import Bundle
from service.storage.kits import KitRow, NewKit

SVG = "image/svg+xml"
PDF = "application/pdf"
HTML = "text/html"
TEXT = "text/plain"
#: Members of a kit's answer that hold addresses of documents.
PRINTED = ("run_sheet", "run_sheet_page", "labels")
#: Members of a load's answer that hold addresses of pictures.
PICTURES = ("picture", "path_picture")
_BY_ENDING = {".pdf": PDF, ".html": HTML, ".txt": TEXT}


def kit_address(kit_id: str) -> str:
    """Return the path of a kit."""
    return f"/v1/kits/{kit_id}"


def timestamp(microseconds: int) -> str:
    """Return a time in the format of RFC 3339, in UTC."""
    return datetime.fromtimestamp(microseconds / 1e6, UTC).isoformat(timespec="microseconds")


def addressed(answer: Mapping[str, Any], kit_id: str) -> dict[str, Any]:
    """Return a kit's answer with the addresses of its files on this server."""
    start = kit_address(kit_id) + "/"

    def at_home(load: Mapping[str, Any]) -> dict[str, Any]:
        files = [{**file, "href": start + file["href"]} for file in load.get("files", ())]
        pictures = {name: start + load[name] for name in PICTURES if name in load}
        return {**load, **pictures, "files": files}

    runs = [{**run, "loads": [at_home(load) for load in run["loads"]]} for run in answer["runs"]]
    printed = {name: start + answer[name] for name in PRINTED if name in answer}
    return {**answer, "runs": runs, **printed}


def new_kit(bundle: Bundle, kit_id: str, created_us: int, *, recut_of: str | None = None) -> NewKit:
    """Return a computed kit as it is stored: the same one for the same bundle, id and time."""
    own: dict[str, Any] = {"id": kit_id, "created_at": timestamp(created_us)}
    if recut_of is not None:
        own["recut_of"] = recut_of
    request = {"request": bundle.request, "cutters": bundle.cutters}
    title, version = bundle.answer["title"], bundle.answer["version"]
    if bundle.archive is None:
        raise InternalError("a kit without its zip cannot be stored")
    return NewKit(
        row=KitRow(kit_id, created_us, title, version, recut_of),
        answer=orjson.dumps(own | addressed(bundle.answer, kit_id) | request),
        archive=bundle.archive,
        media_types=media_types(bundle.answer, bundle.archive.files),
    )


def with_pictures(answer: Mapping[str, Any], files: Mapping[str, bytes]) -> dict[str, Any]:
    """Return a preview's answer with its pictures as data URLs (RFC 2397).

    Nothing of a preview is stored, so its pictures have no other address.
    """

    def inside(load: Mapping[str, Any]) -> dict[str, Any]:
        pictures = {name: _data_address(files, load[name]) for name in PICTURES}
        return {**load, **pictures}

    runs = [{**run, "loads": [inside(load) for load in run["loads"]]} for run in answer["runs"]]
    return {**answer, "runs": runs}


def _data_address(files: Mapping[str, bytes], href: str) -> str:
    data = files[href.removeprefix("files/")]
    return f"data:{SVG};base64,{base64.b64encode(data).decode()}"


def media_types(answer: Mapping[str, Any], names: Iterable[str]) -> dict[str, str]:
    """Return the media type of every file of a kit, by name."""
    known = {
        file["name"]: file["media_type"]
        for run in answer["runs"]
        for load in run["loads"]
        for file in load.get("files", ())
    }

    def usual(name: str) -> str:
        return next((kind for end, kind in _BY_ENDING.items() if name.endswith(end)), SVG)

    return {name: known.get(name, usual(name)) for name in names}
