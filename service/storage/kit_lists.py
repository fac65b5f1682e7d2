"""Lists of kits: searched, newest first, page by page.

A page's ids come from an index alone, and rows are read for these only: kits' answers are large,
and reading past them would take seconds in a large store.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Column, ColumnElement, FromClause, Select, select, tuple_

from service.storage.kit_rows import KitRow
from service.storage.tables import KIT_TERMS, KITS, PINS

#: The kinds of terms that kits are searched by.
TERMS = ("shape", "cutter")


@dataclass(frozen=True)
class ListedKit(KitRow):
    """A kit in a list, and whether it is pinned."""

    is_pinned: bool = False


@dataclass(frozen=True)
class KitSearch:
    """What kits are searched by; an empty member matches every kit.

    ``title`` matches any part of a title, in upper or lower case. ``shape`` is the kind of one of
    the kit's pieces, ``cutter`` the name of one of its cutters. ``from_us`` is the earliest time of
    creation and ``before_us`` the first that is too late, in microseconds since 1970. ``key_id`` is
    the key that made the kit; ``None``: any, or none.
    """

    title: str = ""
    number: str = ""
    reference: str = ""
    date: str = ""
    shape: str = ""
    cutter: str = ""
    from_us: int | None = None
    before_us: int | None = None
    key_id: str | None = None

    @property
    def terms(self) -> list[tuple[str, str]]:
        """Return the terms, kind and value."""
        return [(term, value) for term in TERMS if (value := getattr(self, term))]

    def conditions(self) -> Iterator[ColumnElement[bool]]:
        """Yield the conditions on a kit's row, beside terms and times."""
        if self.key_id is not None:
            yield KITS.c.key_id == self.key_id
        if self.title:
            yield KITS.c.title_folded.contains(self.title.casefold(), autoescape=True)
        for name in ("number", "reference", "date"):
            if value := getattr(self, name):
                yield KITS.c[name] == value

    def times(self, when: Column[Any]) -> Iterator[ColumnElement[bool]]:
        """Yield the conditions on a kit's time."""
        if self.from_us is not None:
            yield when >= self.from_us
        if self.before_us is not None:
            yield when < self.before_us


def listed_kits(count: int, after: tuple[int, str] | None, search: KitSearch) -> Select[Any]:
    """Return the query for a page of kits, as the members of ``ListedKit``."""
    ids = _ids(search, after).limit(count).subquery()
    columns = [KITS.c[each.name] for each in dataclasses.fields(KitRow)]
    pinned = select(PINS.c.kit_id).where(PINS.c.kit_id == KITS.c.id).exists()
    query = select(*columns, pinned).join(ids, ids.c.id == KITS.c.id)
    return query.order_by(KITS.c.created_us.desc(), KITS.c.id.desc())


def _ids(search: KitSearch, after: tuple[int, str] | None) -> Select[Any]:
    conditions, terms = list(search.conditions()), search.terms
    when, kit_id = KITS.c.created_us, KITS.c.id
    query = select(kit_id.label("id"))
    if terms and not conditions:
        # The index of terms is in order of time; further terms are looked up.
        when, kit_id = KIT_TERMS.c.created_us, KIT_TERMS.c.kit_id
        query = select(kit_id.label("id")).where(_is_term(KIT_TERMS, *terms.pop(0)))
    query = query.where(*conditions)
    for each in terms:
        other = KIT_TERMS.alias()
        same = select(other.c.kit_id).where(_is_term(other, *each), other.c.kit_id == kit_id)
        query = query.where(same.exists())
    if after is not None:
        query = query.where(tuple_(when, kit_id) < tuple_(*after))
    query = query.where(*search.times(when))
    return query.order_by(when.desc(), kit_id.desc())


def _is_term(table: FromClause, term: str, value: str) -> ColumnElement[bool]:
    return (table.c.term == term) & (table.c.value == value)
