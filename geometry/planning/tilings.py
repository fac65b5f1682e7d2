"""All tilings by name."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from geometry.planning import staggered, stars, straight
from geometry.planning.plane import Tiling

#: All tilings, in listing order.
TILINGS: Final[Mapping[str, Tiling]] = MappingProxyType(
    {each.name: each for each in (*straight.TILINGS, *stars.TILINGS, *staggered.TILINGS)}
)
