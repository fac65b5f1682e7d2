"""Answers about links to kits' files."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from service.schemas.answers import Link, Timestamp


@dataclass(frozen=True, kw_only=True)
class FileLinkAnswer:
    """A link to a file of a kit."""

    href: Annotated[Link, "opens the file in a browser, without a key in a header"]
    expires_at: Annotated[
        Timestamp | None, "when it ends; left out where the service asks for no keys"
    ] = None
