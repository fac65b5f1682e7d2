"""What cutters, price lists and blocks share: JSON objects saved under names, in versions."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from flask import Response

from service.http.current import store
from service.http.endpoint import Answer, respond
from service.http.ownership import maker, viewer
from service.http.problems import ProblemError
from service.schemas.fields import CUTTER_NAME
from service.storage.named_documents import (
    NamedDocument,
    NamedDocuments,
    NameTakenError,
    VersionConflictError,
)
from service.storage.store import Store
from service.views.versions import ETAG, Versioned, changed, expected, with_version

Saved = TypeVar("Saved", bound=Versioned)
#: Tells clients how to refer to the version that they change.
PUT_HEADERS, DELETE_HEADERS = ["If-Match", "If-None-Match"], ["If-Match"]


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
    """

    noun: str
    path: str
    documents: Callable[[Store], NamedDocuments]
    answer: Callable[[NamedDocument], Saved]
    built_in: Callable[[str], Saved | None] = nothing_built_in
    origin: str = ""

    def all(self) -> list[Saved]:
        """Return the answers about all of them."""
        return [self.answer(each) for each in self.documents(store()).all(viewer())]

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
        try:
            saved = self.documents(store()).put(
                name, document, expected=expected(), maker=maker(), key_id=viewer()
            )
        except VersionConflictError:
            raise changed(self.noun) from None
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
            raise changed(self.noun) from None
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

    def _missing(self) -> ProblemError:
        detail = f"There is no such {self.noun}; GET {self.path} lists all."
        return ProblemError("not-found", 404, detail)
