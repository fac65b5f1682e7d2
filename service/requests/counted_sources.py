"""Stored documents that requests name: each is read once, and counted wherever it is named.

A name of a few bytes can stand for many kilobytes: a request is as long as if they were written in
it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import orjson


class CountedSource:
    """Gives stored documents of one kind by name.

    Args:
        read: reads one from where it is stored; ``None`` when there is none of that name.

    Attributes:
        known: what was asked for, by name.
        count: bytes, as JSON, of what was given, each time that it was.
    """

    def __init__(self, read: Callable[[str], Mapping[str, Any] | None]) -> None:
        self._read = read
        self._sizes: dict[str, int] = {}
        self.known: dict[str, Mapping[str, Any]] = {}
        self.count = 0

    def __call__(self, name: str) -> Mapping[str, Any] | None:
        """Return a document by name, or ``None``."""
        if name not in self._sizes:
            found = self._read(name)
            self._sizes[name] = 0 if found is None else len(orjson.dumps(found))
            if found is not None:
                self.known[name] = found
        self.count += self._sizes[name]
        return self.known.get(name)
