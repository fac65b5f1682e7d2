"""What a kit request means, in millimetres, ready to be computed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from geometry.model.cutter import Cutter, WorkArea
from geometry.model.outline import Region
from geometry.model.segments import Bounds
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
    position: tuple[float, float] | None = None
    edge_clearance: float | None = None


@dataclass(frozen=True)
class Sheet:
    """Where a sheet lies on the bed, mm: its lower left corner and its size.

    A side that is not stated is infinite and begins nowhere: no edge of it is known. Outlines
    keep ``clearance`` from the edges; ``stated`` says that the request asked for just that.
    """

    x: float
    y: float
    width: float
    height: float
    clearance: float
    stated: bool = False

    @property
    def box(self) -> Bounds:
        """The sheet itself, without end where no side is stated."""
        left = self.x if math.isfinite(self.width) else -math.inf
        bottom = self.y if math.isfinite(self.height) else -math.inf
        return Bounds(left, bottom, self.x + self.width, self.y + self.height)

    def inside(self, by: float) -> Bounds:
        """Return the box that keeps so far from every edge."""
        box = self.box
        return Bounds(box.left + by, box.bottom + by, box.right - by, box.top - by)


@dataclass(frozen=True)
class Run:
    """One material through one cutter; ``number`` counts the request's runs from 1.

    ``reach`` is where the tool's axis may go: the bed less the margins. ``area`` is what the
    sheet less its clearance has in common with that.
    """

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
    max_mismatch_deg: float | None = None
    sets: bool = False
    reach: WorkArea | None = None
    sheet: Sheet | None = None
    notes: tuple[str, ...] = ()
    #: Whether what is cut is drawn off a roll, also once that is a sheet.
    from_roll: bool = False
    max_steps: float | None = None


@dataclass(frozen=True)
class Kit:
    """A whole request, converted."""

    title: str
    units: str
    pieces: Mapping[str, Piece]
    runs: tuple[Run, ...]
    printed: frozenset[str] = frozenset(PRINTED)
