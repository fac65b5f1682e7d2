"""Layouts that this process found before, so that the same request need not wait for them again.

A preview is often followed by its kit, and a kit by the same one for another cloth. A search that
was not cut short depends on its question alone, so its answer is the same every time.
"""

from __future__ import annotations

from collections.abc import Hashable
from functools import lru_cache

from geometry.layout import Layout

#: Layouts that are kept, and the most placements of one of them: about 1 kB each.
_MAX_LAYOUTS, _MAX_PLACEMENTS = 64, 500


@lru_cache(maxsize=_MAX_LAYOUTS)
def _found(question: Hashable) -> list[Layout]:  # noqa: ARG001 - what the list is kept by
    """Return the list for a question's layout, empty at first; the cache is safe for threads."""
    return []


def known(question: Hashable) -> Layout | None:
    """Return the layout that answers a question; ``None`` where it is not known."""
    return next(iter(_found(question)), None)


def keep(question: Hashable, layout: Layout) -> None:
    """Keep a layout among those used last, unless its search was cut short or it is large."""
    placements = sum(len(load.placements) for load in layout.loads)
    if layout.complete and placements <= _MAX_PLACEMENTS:
        _found(question).append(layout)


def clear() -> None:
    """Remove all of them."""
    _found.cache_clear()
