"""Computed kits as they are stored: with their addresses, and the media types of their files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import orjson

from geometry.errors import InternalError
from service.answers.kits import KitIdentity
from service.kits import Bundle
from service.kits.bundle import Archive
from service.links import CSV, HTML, PDF, SVG, TEXT, addressed, timestamp
from service.requests.kit_number import kit_number
from service.schemas.codec import dump
from service.storage.kit_rows import KitRow, NewKit

_BY_ENDING = {".pdf": PDF, ".html": HTML, ".txt": TEXT, ".csv": CSV}


def new_kit(
    bundle: Bundle, kit_id: str, created_us: int, *, recut_of: str | None = None, key_id: str = ""
) -> NewKit:
    """Return a computed kit as it is stored: the same one for the same bundle, id and time."""
    if bundle.archive is None:
        raise InternalError("a kit without its zip cannot be stored")
    kit = DescribedKit(dump(bundle.answer), bundle.request, bundle.cutters, bundle.archive)
    return described_kit(kit, kit_id, created_us, recut_of=recut_of, key_id=key_id)


@dataclass(frozen=True)
class DescribedKit:
    """A kit's answer as JSON values, of this version or an older one, and its zip."""

    answer: Mapping[str, Any]
    request: Mapping[str, Any]
    cutters: Mapping[str, Mapping[str, Any]]
    archive: Archive


def described_kit(
    kit: DescribedKit,
    kit_id: str,
    created_us: int,
    *,
    recut_of: str | None = None,
    key_id: str = "",
) -> NewKit:
    """Return a kit as it is stored; ``key_id`` is the key that made it."""
    answer = kit.answer
    identity = KitIdentity(id=kit_id, created_at=timestamp(created_us), recut_of=recut_of)
    request = {"request": kit.request, "cutters": kit.cutters}
    title, version = answer["title"], answer["version"]
    # Kits of older versions have none; their answer stays as it is.
    number = answer.get("number") or kit_number(kit.request, kit.cutters, version)
    beside = (answer.get("reference", ""), answer.get("date", ""))
    return NewKit(
        row=KitRow(kit_id, created_us, title, version, recut_of, number, *beside, key_id),
        answer=orjson.dumps(dump(identity) | addressed(answer, kit_id) | request),
        archive=kit.archive,
        media_types=media_types(answer, kit.archive.files),
        terms=terms_of(kit.request, answer),
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
