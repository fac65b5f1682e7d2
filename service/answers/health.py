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
    """Whether kits can be stored, and whether jobs are delivered."""

    database: Annotated[Literal["ok"], "whether the database answers; if not, 503 is answered"]
    files: Annotated[
        Literal["ok"],
        "whether kits' files can be stored, in the data folder or the object store; likewise",
    ]
    queue: Annotated[
        Literal["ok", "unreachable"],
        "whether the queue answers; without it kits are made at once as before, and jobs are "
        "stored and wait",
    ]

    warnings: Annotated[
        Sequence[str], "what the operator should look at soon; empty when all is well"
    ]
