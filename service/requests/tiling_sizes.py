"""Which sizes a plan's request must and may state, by its tiling."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from marshmallow import ValidationError

from geometry.planning.tilings import TILINGS
from service.schemas.errors import unusable

_SIZES = ("side", "width", "height", "length")
_COUNTS = ("rounds", "path", "diamonds")


def wrong_sizes(name: object, stated: object) -> Iterator[ValidationError]:
    """Yield an error for each size that the tiling lacks or does not have."""
    tiling = TILINGS.get(name) if isinstance(name, str) else None
    if not isinstance(stated, Mapping):
        return
    if tiling is None:
        if "block" in stated and "tiling" not in stated:
            for each in (*_SIZES, *_COUNTS):
                if each in stated:
                    yield unusable("A block has its own size; leave this out.", each)
        return
    prefix = f"{tiling.title.capitalize()} are sized by {' and '.join(tiling.sizes)}"
    for each in (*_SIZES, *_COUNTS):
        if each in stated and each not in tiling.sizes and each not in tiling.counts:
            yield unusable(f"{prefix}; leave this out.", each)
    for each, what in tiling.sizes.items():
        if each not in stated:
            yield unusable(f"{prefix}: {what}.", each)
