"""Cures: changes of a request after which an error or a warning is gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from service.errors import Change, Cure
from service.schemas.answers import Inlined


@dataclass(frozen=True, kw_only=True)
class ChangeAnswer:
    """One operation of a JSON Patch (RFC 6902)."""

    op: Annotated[Literal["add", "remove"], "add sets the member, and replaces what it has"]
    path: Annotated[str, "JSON pointer (RFC 6901) into the request"]
    value: Annotated[Any | None, "of the member; absent for remove"] = None


@dataclass(frozen=True, kw_only=True)
class CureAnswer:
    """Changes that cure something, together."""

    title: Annotated[str, "what they do, for people"]
    changes: Annotated[
        Sequence[ChangeAnswer], "a JSON Patch (RFC 6902) of the request; nothing else need change"
    ]


@dataclass(frozen=True, kw_only=True)
class WarningCureAnswer:
    """The cure of a warning."""

    warning: Annotated[str, "as `warnings` states it"]
    cure: Annotated[CureAnswer, Inlined()]


@dataclass(frozen=True, kw_only=True)
class WarningPlaceAnswer:
    """What of a request a warning is about."""

    warning: Annotated[str, "as `warnings` states it"]
    pointers: Annotated[
        Sequence[str], "JSON pointers (RFC 6901) into the request, one for each run"
    ]


def cure_answer(cure: Cure) -> CureAnswer:
    """Return a cure as an answer states it."""
    return CureAnswer(title=cure.title, changes=[_change(each) for each in cure.changes])


def _change(change: Change) -> ChangeAnswer:
    return ChangeAnswer(op=change.op, path=change.path, value=change.value)
