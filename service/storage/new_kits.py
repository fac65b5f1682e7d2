"""Computed kits as they are stored: with their addresses, and the media types of their files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import orjson

from geometry.errors import InternalError
from service.kits import Bundle
from service.links import CSV, HTML, PDF, SVG, TEXT, addressed, timestamp
from service.requests.kit_number import kit_number
from service.storage.kits import KitRow, NewKit

_BY_ENDING = {".pdf": PDF, ".html": HTML, ".txt": TEXT, ".csv": CSV}


def new_kit(bundle: Bundle, kit_id: str, created_us: int, *, recut_of: str | None = None) -> NewKit:
    """Return a computed kit as it is stored: the same one for the same bundle, id and time."""
    own: dict[str, Any] = {"id": kit_id, "created_at": timestamp(created_us)}
    if recut_of is not None:
        own["recut_of"] = recut_of
    request = {"request": bundle.request, "cutters": bundle.cutters}
    title, version = bundle.answer["title"], bundle.answer["version"]
    if bundle.archive is None:
        raise InternalError("a kit without its zip cannot be stored")
    # Kits of older versions have none; their answer stays as it is.
    number = bundle.answer.get("number") or kit_number(bundle.request, bundle.cutters, version)
    beside = (bundle.answer.get("reference", ""), bundle.answer.get("date", ""))
    return NewKit(
        row=KitRow(kit_id, created_us, title, version, recut_of, number, *beside),
        answer=orjson.dumps(own | addressed(bundle.answer, kit_id) | request),
        archive=bundle.archive,
        media_types=media_types(bundle.answer, bundle.archive.files),
        terms=terms_of(bundle.request, bundle.answer),
    )


def terms_of(request: Mapping[str, Any], answer: Mapping[str, Any]) -> frozenset[tuple[str, str]]:
    """Return what a kit is searched by: kind and value of each term."""
    shapes = {("shape", str(piece["shape"]["kind"])) for piece in request["pieces"]}
    cutters = {("cutter", str(run["cutter"])) for run in answer["runs"] if run["cutter"]}
    return frozenset(shapes | cutters)


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
