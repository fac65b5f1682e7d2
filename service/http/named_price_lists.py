"""Price lists by name, as they are saved in the store."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.current import store
from service.http.ownership import viewer

#: A body that names more lists has all of them read at once.
_MAX_SINGLE = 8


class PriceLists:
    """The saved price lists by name; many of them are read together."""

    def __init__(self) -> None:
        self._read = 0
        self._every: Mapping[str, Mapping[str, Any]] | None = None

    def __call__(self, name: str) -> Mapping[str, Any] | None:
        """Return a price list's JSON by name, with its version, or ``None``."""
        self._read += 1
        if self._read <= _MAX_SINGLE:
            return store().price_lists.document(name, viewer())
        if self._every is None:
            self._every = all_price_lists()
        return self._every.get(name)


def all_price_lists() -> dict[str, Mapping[str, Any]]:
    """Return every price list's JSON by name, read at once."""
    saved = store().price_lists.all(viewer())
    return {each.name: {**each.body, "version": each.version} for each in saved}
