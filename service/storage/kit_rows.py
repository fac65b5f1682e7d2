"""Saved kits as they are stored, searched and listed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import ColumnElement, select

from service.kits.bundle import Archive
from service.storage.tables import KIT_TERMS, KITS

#: The kinds of terms that kits are searched by.
TERMS = ("shape", "cutter")


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


@dataclass(frozen=True)
class KitSearch:
    """What kits are searched by; an empty member matches every kit.

    ``title`` matches any part of a title, in upper or lower case. ``shape`` is the kind of one of
    the kit's pieces, ``cutter`` the name of one of its cutters. ``from_us`` is the earliest time of
    creation and ``before_us`` the first that is too late, in microseconds since 1970.
    """

    title: str = ""
    number: str = ""
    reference: str = ""
    date: str = ""
    shape: str = ""
    cutter: str = ""
    from_us: int | None = None
    before_us: int | None = None

    def conditions(self) -> Iterator[ColumnElement[bool]]:
        """Yield the conditions on a kit's row."""
        if self.title:
            yield KITS.c.title_folded.contains(self.title.casefold(), autoescape=True)
        for name in ("number", "reference", "date"):
            if value := getattr(self, name):
                yield KITS.c[name] == value
        for term in TERMS:
            if value := getattr(self, term):
                held = select(KIT_TERMS.c.kit_id).where(
                    KIT_TERMS.c.term == term, KIT_TERMS.c.value == value
                )
                yield KITS.c.id.in_(held)
        if self.from_us is not None:
            yield KITS.c.created_us >= self.from_us
        if self.before_us is not None:
            yield KITS.c.created_us < self.before_us


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
