"""What a quilt costs and how long it takes, from prices and speeds that are told."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Prices:
    """Prices in any currency: fabric by the mm of its length, paper by the sheet."""

    fabric_per_mm: float | None = None
    sheet: float | None = None
    batting_per_mm2: float | None = None


@dataclass(frozen=True)
class Speeds:
    """How fast one works: pieces basted in an hour, stitches sewn in a minute."""

    pieces_per_hour: float | None = None
    stitches_per_minute: float | None = None


def basting_s(pieces: int, speeds: Speeds) -> float | None:
    """Return the seconds that basting takes, ``None`` when no speed is told."""
    return None if not speeds.pieces_per_hour else pieces / speeds.pieces_per_hour * 3600.0


def sewing_s(stitches: int, speeds: Speeds) -> float | None:
    """Return the seconds that sewing takes, ``None`` when no speed is told."""
    return None if not speeds.stitches_per_minute else stitches / speeds.stitches_per_minute * 60.0
