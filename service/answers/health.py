"""Answers about the state of the process."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal


@dataclass(frozen=True, kw_only=True)
class Health:
    """The health of the process."""

    status: Literal["ok"]
    version: str


@dataclass(frozen=True, kw_only=True)
class Readiness(Health):
    """Whether kits can be stored."""

    warnings: Annotated[
        Sequence[str], "what the operator should look at soon; empty when all is well"
    ]
