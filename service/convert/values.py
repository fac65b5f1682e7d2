"""What a kit request means, in millimetres, ready to be computed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from geometry.model.cutter import Cutter, WorkArea
from geometry.model.outline import Region
from geometry.offset.allowance import CornerResult
from geometry.toolpath.ties import Ties

Turns: TypeAlias = str | tuple[float, ...]

#: What can be printed for a kit.
PRINTED = ("run_sheet", "labels")


@dataclass(frozen=True)
class Allowance:
    """What was asked of the seam allowance and what the second measurement found, mm."""

    asked: float
    least: float
    most: float
    method: str
    corners: tuple[CornerResult, ...]
    edges: Mapping[int, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Piece:
    """One piece: its template and patch, how many finished ones are wanted, how it may lie.

    ``source`` is the request's own row with its ``units``; empty where the outlines were stored.
    """

    id: str
    title: str
    size: str
    template: Region
    patch: Region
    allowance: Allowance
    quantity: int
    turns: Turns = "free"
    mirror: bool = False
    mirror_of: str | None = None
    warnings: tuple[str, ...] = ()
    source: Mapping[str, Any] = field(default_factory=dict)

    def region(self, cut: str) -> Region:
        """Return what a run of this kind cuts: the ``template`` or the ``patch``."""
        return self.template if cut == "template" else self.patch


@dataclass(frozen=True)
class Material:
    """What is cut; ``width`` and ``height`` of one sheet where stated, mm.

    ``laser_safe``: the caller has read in its safety data sheet that a laser may cut it.
    """

    name: str
    kind: str
    width: float | None = None
    height: float | None = None
    laser_safe: bool = False


@dataclass(frozen=True)
class Run:
    """One material through one cutter; ``number`` counts the request's runs from 1."""

    number: int
    cut: str
    cutter: Cutter
    area: WorkArea
    material: Material
    quantities: Mapping[str, int]
    formats: tuple[str, ...]
    gap: float
    layers: int = 1
    stack: str = "face_up"
    reuse: int = 1
    effort: str | float = "normal"
    seed: int = 0
    common_line: bool = False
    one_file_per: str = "load"
    ties: Ties | None = None
    greatest_mismatch_deg: float | None = None
    sets: bool = False


@dataclass(frozen=True)
class Kit:
    """A whole request, converted."""

    title: str
    units: str
    pieces: Mapping[str, Piece]
    runs: tuple[Run, ...]
    printed: frozenset[str] = frozenset(PRINTED)
