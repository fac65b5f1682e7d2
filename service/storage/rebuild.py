"""Rebuilds a kit's rows from its zip, byte for byte where the zip still has its note."""

from __future__ import annotations

import hashlib
import io
import re
import time
import uuid
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import orjson

from service.kits.bundle import Archive
from service.storage.kit_rows import NewKit
from service.storage.new_kits import DescribedKit, described_kit
from service.storage.notes import without_note

#: More than any kit of ours; guards against zips that expand to far more than their size.
_MAX_BYTES = 1 << 30
#: Errors from reading a damaged or foreign zip; encrypted ones raise RuntimeError.
_UNREADABLE = (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError)
_DESCRIPTION = "kit.json"
_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


class NoKitError(ValueError):
    """A file that is not the zip of a kit, or has been damaged."""


@dataclass(frozen=True)
class Rebuilt:
    """A rebuilt kit.

    Args:
        kit: its rows and its zip.
        is_exact: whether its answer is byte for byte the one first sent.
    """

    kit: NewKit
    is_exact: bool


def rebuilt(data: bytes, name: str, modified_us: int | None = None) -> Rebuilt:
    """Return the kit of a zip.

    Args:
        data: the zip: from a data folder, with its note, or as the service sent it.
        name: of its file; the kit's id is looked for in it when there is no note.
        modified_us: when the file was written; used as the kit's time when there is no note.

    Raises:
        NoKitError: when it is not a whole zip of a kit.
    """
    archive, note = without_note(data)
    files = _members(archive)
    answer = _description(files.pop(_DESCRIPTION, b""))
    request, cutters = answer.pop("request"), answer.pop("cutters")
    try:
        _check_files(answer, files)
        sums = {name: (len(each), _sha256(each)) for name, each in files.items()}
        packed = Archive(archive, _sha256(archive), sums)
        described = DescribedKit(answer, request, cutters, packed)
        if note is not None:
            kit = described_kit(
                described, note.id, note.created_us, recut_of=note.recut_of, key_id=note.key_id
            )
        else:
            found = _ID.search(name)
            made_us = time.time_ns() // 1000 if modified_us is None else modified_us
            kit = described_kit(described, found[0] if found else str(uuid.uuid4()), made_us)
    except (KeyError, TypeError, AttributeError) as error:
        raise NoKitError(f"kit.json does not describe a kit: {error!r}") from None
    return Rebuilt(kit, note is not None and _sha256(kit.answer) == note.answer_sha256)


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _members(archive: bytes) -> dict[str, bytes]:
    """Return the files of a zip, each checked against its checksum."""
    try:
        with zipfile.ZipFile(io.BytesIO(archive)) as inside:
            entries = inside.infolist()
            too_many = sum(each.file_size for each in entries) > _MAX_BYTES
            files = {} if too_many else {each.filename: inside.read(each) for each in entries}
    except _UNREADABLE as error:
        raise NoKitError(f"it is not a whole zip: {error}") from None
    if too_many:
        raise NoKitError("it holds more than any kit does")
    return files


def _description(data: bytes) -> dict[str, Any]:
    try:
        kit = orjson.loads(data)
    except orjson.JSONDecodeError:
        raise NoKitError("it holds no kit.json that can be read") from None
    wanted = {"title", "version", "pieces", "runs", "request", "cutters"}
    if not isinstance(kit, dict) or not wanted <= kit.keys():
        raise NoKitError("kit.json does not describe a kit")
    return kit


def _check_files(answer: Mapping[str, Any], files: Mapping[str, bytes]) -> None:
    """Compare the files that a kit's answer lists with those that are there."""
    for run in answer["runs"]:
        for load in run["loads"]:
            for file in load.get("files", ()):
                name = file["name"]
                if _sha256(files.get(name, b"")) != file["sha256"]:
                    raise NoKitError(f"{name} is missing or has changed")
