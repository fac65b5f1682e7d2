"""Lists of kits: searched, newest first, page by page.

A page's ids come from an index alone, and rows are read for these only: kits' answers are large,
and reading past them would take seconds in a large store.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    Column,
    ColumnElement,
    Connection,
    FromClause,
    Select,
    func,
    select,
    tuple_,
)

from service.storage.kit_rows import KitRow
from service.storage.tables import KIT_TERMS, KITS, PINS

#: The kinds of terms that kits are searched by.
TERMS = ("shape", "cutter")
#: Kits of a key, up to which they are read instead of those of a term.
_FEW = 2000


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


def listed_kits(
    count: int, after: tuple[int, str] | None, search: KitSearch, *, by_term: bool = False
) -> Select[Any]:
    """Return the query for a page of kits, as the members of ``ListedKit``.

    Args:
        count: how many at most.
        after: time and id of the kit before the page.
        search: what they are searched by.
        by_term: whether the kits of a term are read, and their keys looked up; see
            ``reads_by_term``.
    """
    ids = _ids(search, after, by_term=by_term).limit(count).subquery()
    columns = [KITS.c[each.name] for each in dataclasses.fields(KitRow)]
    pinned = select(PINS.c.kit_id).where(PINS.c.kit_id == KITS.c.id).exists()
    query = select(*columns, pinned).join(ids, ids.c.id == KITS.c.id)
    return query.order_by(KITS.c.created_us.desc(), KITS.c.id.desc())


def reads_by_term(connection: Connection, search: KitSearch) -> bool:
    """Return whether a page of a key's kits with a term reads the term's kits.

    It reads the kits of one and looks the other up until it is full, at worst through all of them.
    The index of keys is in order of time, so looking kits of a term up in it takes a fifth of the
    reverse: only a key with few kits is read by itself.
    """
    if search.key_id is None or not search.terms:
        return False
    of_key = select(KITS.c.id).where(KITS.c.key_id == search.key_id).limit(_FEW + 1)
    counted = select(func.count()).select_from(of_key.subquery())
    return int(connection.execute(counted).scalar_one()) > _FEW


def _ids(search: KitSearch, after: tuple[int, str] | None, *, by_term: bool) -> Select[Any]:
    conditions, terms = list(search.conditions()), search.terms
    when, kit_id = KITS.c.created_us, KITS.c.id
    query = select(kit_id.label("id"))
    if terms and (by_term or not conditions):
        # The index of terms is in order of time; further terms are looked up.
        when, kit_id = KIT_TERMS.c.created_us, KIT_TERMS.c.kit_id
        query = select(kit_id.label("id")).where(_is_term(KIT_TERMS, *terms.pop(0)))
    if by_term:
        # By the index of keys, which holds all of this; the row by its id would be read past an
        # answer of kilobytes. The empty text keeps SQLite from choosing the index of ids.
        is_kit = (KITS.c.created_us == when) & (KITS.c.id.concat("") == kit_id)
        row = select(KITS.c.id).where(is_kit, *conditions)
        query = query.where(row.exists())
    else:
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
