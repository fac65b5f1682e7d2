"""Saved kits as they are stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.kits.bundle import Archive


@dataclass(frozen=True)
class KitRow:
    """A kit as it stands in a list."""

    id: str
    created_us: int
    title: str
    version: str
    recut_of: str | None
    number: str = ""
    reference: str = ""
    date: str = ""
    key_id: str = ""


@dataclass(frozen=True)
class StoredAnswer:
    """A kit's answer, byte for byte as it was first sent."""

    data: bytes
    sha256: str


@dataclass(frozen=True)
class StoredFile:
    """One file of a kit."""

    name: str
    media_type: str
    data: bytes
    sha256: str


@dataclass(frozen=True)
class NewKit:
    """A kit to be saved.

    ``answer`` is the answer as it is sent, ``archive`` the zip with everything; ``media_types``
    has the type of each file in it; ``terms`` are what it is searched by, of which kind and value.
    """

    row: KitRow
    answer: bytes
    archive: Archive
    media_types: Mapping[str, str]
    terms: frozenset[tuple[str, str]] = frozenset()
