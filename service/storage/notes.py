"""The note in a kit's zip on disk: id and time, so that the kit's row can be rebuilt.

The zip that is sent holds no id and no time, so that equal requests give equal bytes. On disk the
same zip carries them in its comment (APPNOTE.TXT 4.3.16, "end of central directory record"), which
is removed before it is sent.
"""

from __future__ import annotations

import hashlib
import os
import re
import struct
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any, BinaryIO

import orjson

#: An end of central directory record without a comment: signature, 16 bytes, length of the comment.
_END = b"PK\x05\x06"
_END_SIZE = 22
_LENGTH = struct.Struct("<H")
_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_MARK = b"quarterseam-kit "
#: The longest id of a key.
_MAX_KEY = 12
#: The end of a zip that holds its record and the longest comment there can be.
_TAIL = _END_SIZE + 0xFFFF


@dataclass(frozen=True)
class Note:
    """The part of a kit's row that its zip does not hold.

    Args:
        id: of the kit.
        created_us: when it was made.
        recut_of: the kit that it recuts pieces of, if any.
        answer_sha256: hash of its answer, to check the rebuilt answer.
        key_id: the key that made it; empty where no key did.
    """

    id: str
    created_us: int
    recut_of: str | None
    answer_sha256: str
    key_id: str = ""


def with_note(archive: bytes, note: Note) -> bytes:
    """Return a zip with its note, as it is stored."""
    text = _MARK + orjson.dumps(asdict(note))
    return archive[: -_LENGTH.size] + _LENGTH.pack(len(text)) + text


def without_note(data: bytes) -> tuple[bytes, Note | None]:
    """Return a zip as it is sent and its note, if it carries one."""
    start = data.rfind(_END)
    comment = start + _END_SIZE
    if start < 0 or not data.startswith(_MARK, comment):
        return data, None
    archive = data[: comment - _LENGTH.size] + _LENGTH.pack(0)
    return archive, _read(data[comment + len(_MARK) :])


def sha256_without_note(data: bytes) -> str:
    """Return the hash of a zip as it is sent, which the row of the zip states."""
    return hashlib.sha256(without_note(data)[0]).hexdigest()


def parts_without_note(file: BinaryIO, chunk: int) -> Iterator[bytes]:
    """Yield a zip as it is sent, in parts, so that memory never holds all of it.

    Args:
        file: the zip as it is kept on disk.
        chunk: bytes per part; the last may be shorter.
    """
    left = max(0, file.seek(0, os.SEEK_END) - _TAIL)
    file.seek(left)
    tail, _ = without_note(file.read())
    file.seek(0)
    while left:
        part = file.read(min(chunk, left))
        if not part:
            return
        left -= len(part)
        yield part
    yield tail


def _read(text: bytes) -> Note | None:
    try:
        values: Any = orjson.loads(text)
        note = Note(**values)
    except (TypeError, ValueError):
        return None
    sound = (
        isinstance(note.id, str)
        # It names a file.
        and _ID.fullmatch(note.id) is not None
        and isinstance(note.created_us, int)
        and isinstance(note.recut_of, str | None)
        and isinstance(note.answer_sha256, str)
        and isinstance(note.key_id, str)
        and len(note.key_id) <= _MAX_KEY
    )
    return note if sound else None
