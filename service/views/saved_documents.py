"""What cutters, price lists and blocks share: JSON objects saved under names, in versions."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar
from urllib.parse import urlencode

from flask import Response

from service.http.current import store
from service.http.endpoint import Answer, respond
from service.http.ownership import maker, viewer
from service.http.problems import ProblemError
from service.requests.pages import ListPage
from service.schemas.fields import CUTTER_NAME
from service.storage.named_documents import (
    NamedDocument,
    NamedDocuments,
    NameTakenError,
    VersionConflictError,
)
from service.storage.store import Store
from service.views.conditions import CONDITIONS
from service.views.pages import invalid_cursor, name_of, opaque_name
from service.views.versions import ETAG, Versioned, changed, expected, with_version

Saved = TypeVar("Saved", bound=Versioned)
Entry = TypeVar("Entry")
#: Tells clients how to refer to the version that they change.
PUT_HEADERS = DELETE_HEADERS = CONDITIONS


def nothing_built_in(_: str) -> None:
    """Return what comes with the service under a name: nothing."""


def get_answers(what: str, answer: type) -> dict[int, Answer]:
    """Return the answers of getting one of them."""
    return {200: Answer(what, answer, headers=ETAG)}


def put_answers(answer: type) -> dict[int, Answer]:
    """Return the answers of saving one of them."""
    return {
        200: Answer("It was replaced", answer, headers=ETAG),
        201: Answer("It was saved", answer, headers=ETAG),
    }


@dataclass(frozen=True)
class SavedDocuments(Generic[Saved]):
    """Objects of one kind that are saved under names.

    Args:
        noun: what one of them is called.
        path: of the list of all.
        documents: finds them in the store.
        answer: makes the answer about one of them.
        built_in: finds the answer about one that comes with the service, which cannot be changed.
        origin: what to say of such a one, after its name.
        built_in_names: of all such, in the order in which a list has them.
    """

    noun: str
    path: str
    documents: Callable[[Store], NamedDocuments]
    answer: Callable[[NamedDocument], Saved]
    built_in: Callable[[str], Saved | None] = nothing_built_in
    origin: str = ""
    built_in_names: Sequence[str] = ()

    def page(
        self, query: ListPage, entry: Callable[[Saved], Entry]
    ) -> tuple[list[Entry], str | None]:
        """Return a page of them and the address of the next: first built-in ones, then saved ones.

        Args:
            query: which page.
            entry: makes the entry of the list from the answer about one of them.

        Raises:
            ProblemError: 422 when it begins behind an entry that there is not.
        """
        limit, (shown, after) = query.limit, self._part(query)
        found = [entry(each) for each in map(self.built_in, shown) if each is not None]
        names = list(shown)

        def read(saved: NamedDocument) -> Entry:
            names.append(saved.name)
            return entry(self.answer(saved))

        more = bool(shown) and shown[-1] != self.built_in_names[-1]
        if not more:
            of_store = self.documents(store())
            saved, more = of_store.page(limit - len(shown), read, after=after, key_id=viewer())
            found += saved
        if not more:
            return found, None
        mark = opaque_name(names[-1], built_in=len(names) == len(shown))
        return found, f"{self.path}?{urlencode({'limit': limit, 'after': mark})}"

    def _part(self, query: ListPage) -> tuple[Sequence[str], str]:
        """Return the built-in names on a page, and the name behind which its saved ones begin."""
        if not query.after:
            return self.built_in_names[: query.limit], ""
        name, built_in = name_of(query.after)
        if not built_in:
            return (), name
        if name not in self.built_in_names:
            raise invalid_cursor()
        start = self.built_in_names.index(name) + 1
        return self.built_in_names[start : start + query.limit], ""

    def get(self, name: str) -> Response:
        """Return the answer about one of them.

        Raises:
            ProblemError: when none has this name.
        """
        built_in = self.built_in(name)
        if built_in is not None:
            return with_version(built_in, 200)
        saved = self.documents(store()).get(name, viewer())
        if saved is None:
            raise self._missing()
        return with_version(self.answer(saved), 200)

    def put(self, name: str, document: Mapping[str, Any]) -> Response:
        """Save one under a name, replacing an earlier one, and return the answer about it.

        Raises:
            ProblemError: when the name cannot be used, or another version is saved than the
                request expects.
        """
        self.require_own(name)
        if not re.fullmatch(CUTTER_NAME, name):
            detail = f"A {self.noun}'s name has 1 to 64 lower-case letters, digits and hyphens."
            raise ProblemError("invalid-request", 422, detail)
        documents = self.documents(store())
        try:
            saved = documents.put(
                name, document, expected=expected(), maker=maker(), key_id=viewer()
            )
        except VersionConflictError:
            raise self._changed(documents, name) from None
        except NameTakenError:
            detail = f'Another key has saved a {self.noun} as "{name}"; use another name.'
            raise ProblemError("name-taken", 409, detail) from None
        return with_version(self.answer(saved), 201 if saved.version == 1 else 200)

    def delete(self, name: str) -> Response:
        """Delete one of them.

        Raises:
            ProblemError: when none has this name, or another version is saved than the request
                expects.
        """
        self.require_own(name)
        documents = self.documents(store())
        try:
            gone = store().make_way(documents.delete, name, expected=expected(), key_id=viewer())
        except VersionConflictError:
            raise self._changed(documents, name) from None
        if not gone:
            raise self._missing()
        return respond((None, 204, {}))

    def require_own(self, name: str) -> None:
        """Refuse to change what comes with the service.

        Raises:
            ProblemError: when it has this name.
        """
        if self.built_in(name) is not None:
            detail = f'"{name}" {self.origin}; save yours under another name.'
            raise ProblemError(f"{self.noun}-read-only", 409, detail)

    def _changed(self, documents: NamedDocuments, name: str) -> ProblemError:
        return changed(self.noun, is_saved=documents.get(name, viewer()) is not None)

    def _missing(self) -> ProblemError:
        detail = f"There is no such {self.noun}; GET {self.path} lists all."
        return ProblemError("not-found", 404, detail)
