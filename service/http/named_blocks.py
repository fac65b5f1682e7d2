"""Blocks by name: those of the gallery, and those saved in the store."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from service.http.current import store
from service.http.ownership import viewer
from service.requests.gallery_blocks import gallery

#: Where JSON names a block: as a drawing's, or as a quilt plan's with its size.
_NAME = re.compile(rb'"block"\s*:\s*(?:\{[^{}]{0,4000}?"name"\s*:\s*)?"([a-z0-9][a-z0-9\-]{0,63})"')


def block(name: str) -> Mapping[str, Any] | None:
    """Return a block of the gallery or a saved one by name, or ``None``."""
    return gallery().get(name) or store().blocks.document(name, viewer())


def block_named_in(raw: bytes) -> dict[str, Mapping[str, Any]]:
    """Return the block that a body names, by name, without parsing it; empty where it names none.

    Saved blocks can be large, so that no more than one is read.
    """
    found = _NAME.search(raw)
    if found is None:
        return {}
    name = found[1].decode()
    named = block(name)
    return {} if named is None else {name: named}
