"""Price lists by name, as they are saved in the store."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.current import store
from service.http.ownership import viewer


def price_list(name: str) -> Mapping[str, Any] | None:
    """Return a price list's JSON by name, with its version, or ``None``."""
    return store().price_lists.document(name, viewer())


def all_price_lists() -> dict[str, Mapping[str, Any]]:
    """Return every price list's JSON by name, read at once."""
    saved = store().price_lists.all(viewer())
    return {each.name: {**each.body, "version": each.version} for each in saved}
