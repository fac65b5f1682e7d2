"""A kit's files as one zip, and their hashes: the same bytes for the same kit."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import orjson

from adapters.steps import step
from geometry.errors import InternalError
from service.answers.kits import LayoutsAnswer, files_of
from service.kits.bundle import Archive, Bundle
from service.schemas.codec import dump

#: The oldest date that a zip can state; a real one would make equal kits differ.
NO_DATE: Final = (1980, 1, 1, 0, 0, 0)
_READABLE = 0o644 << 16
#: What describes the kit in its zip.
DESCRIPTION: Final = "kit.json"


def with_archive(bundle: Bundle) -> Bundle:
    """Return a kit's bundle with its zip and hashes instead of its files.

    This is part of the computation, in a bounded child.

    Args:
        bundle: the kit with its files.

    Raises:
        geometry.errors.InternalError: when the zip holds another file than the answer states.
    """
    with step("zip"):
        data = packed({DESCRIPTION: description(bundle), **bundle.files})
        files = _members(data)
        _check_stated(bundle.answer, files)
    return replace(bundle, files={}, archive=Archive(data, _sha256(data), files))


def _members(data: bytes) -> dict[str, tuple[int, str]]:
    """Return the size and the hash of each file of a zip, as they are read from it."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        inside = {name: archive.read(name) for name in archive.namelist() if name != DESCRIPTION}
    return {name: (len(each), _sha256(each)) for name, each in inside.items()}


def _check_stated(answer: LayoutsAnswer, files: Mapping[str, tuple[int, str]]) -> None:
    """Compare what an answer states about its files with the files that are stored.

    A machine follows the file that a link serves, so one file under another's name is withheld.
    """
    for file in files_of(answer):
        if files.get(file.name) != (file.bytes, file.sha256):
            raise InternalError(f"{file.name} is not the file that the answer states")


def description(bundle: Bundle) -> bytes:
    """Return the ``kit.json`` of a bundle: the answer, what was asked, and on which cutters.

    It has no id and no time: the same request gives the same zip.
    """
    payload = {"request": bundle.request, "cutters": bundle.cutters}
    return orjson.dumps(dump(bundle.answer) | payload, option=orjson.OPT_INDENT_2)


def packed(members: Mapping[str, bytes]) -> bytes:
    """Return a zip of files by name, in the order of their names, without dates."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        for name in sorted(members):
            entry = zipfile.ZipInfo(name, NO_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = _READABLE
            archive.writestr(entry, members[name])
    return buffer.getvalue()


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
