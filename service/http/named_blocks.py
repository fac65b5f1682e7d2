"""Blocks by name: those of the gallery, and those saved in the store."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from service.http.current import store
from service.http.ownership import viewer
from service.requests.gallery_blocks import gallery

#: Where JSON may name a block.
_NAMES = re.compile(rb'"(?:block|name)"\s*:\s*"([a-z0-9][a-z0-9\-]{0,63})"')
_MAX_NAMES = 20


def block(name: str) -> Mapping[str, Any] | None:
    """Return a block of the gallery or a saved one by name, or ``None``."""
    return gallery().get(name) or store().blocks.document(name, viewer())


def blocks_named_in(raw: bytes) -> dict[str, Mapping[str, Any]]:
    """Return the blocks that a body may name, by name, without parsing it.

    Saved blocks can be large, so that not all of them are read.
    """
    names = dict.fromkeys(match.decode() for match in _NAMES.findall(raw))
    found = ((name, block(name)) for name in list(names)[:_MAX_NAMES])
    return {name: each for name, each in found if each is not None}
