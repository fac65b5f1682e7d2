"""A run with its loads laid out and planned, and what its stock has no room for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from geometry.layout.item import Offcut, Used
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.toolpath.plan import Planned
from service.requests.runs import Run
from service.runs.motifs import MotifUse
from service.runs.plies import Plies


@dataclass(frozen=True)
class PlannedLoad:
    """One distinct filling of the work area with its cut plan.

    ``length`` is what it takes of a roll, margins included, mm. ``on`` is the part of the run
    that is cut from the same kind of sheet, where the run has a stock.
    """

    number: int
    load: Load
    planned: Planned
    utilisation: float
    offcuts: tuple[Offcut, ...]
    length: float | None = None
    used: Used | None = None
    on: PlannedRun | None = None


@dataclass(frozen=True)
class ShortfallPurchase:
    """What would make up for a shortfall alone: sheets of one entry of the stock, or a length, mm.

    ``cost`` is what that costs; ``None`` where the entry states no price.
    """

    entry: int
    count: int
    length: float | None
    cost: Decimal | None


@dataclass(frozen=True)
class Shortfall:
    """Finished pieces that a stock has no room for, and what to buy for them, any one of it."""

    missing: Mapping[str, int]
    purchases: tuple[ShortfallPurchase, ...]


@dataclass(frozen=True)
class PlannedRun:
    """Everything a run cuts, and how near that is to what any layout could do.

    ``bound`` is a number of loads that no layout could go below, ``most_on_one`` the most
    outlines that one load could hold of a single kind; of a roll ``length_bound`` is the
    shortest length that could do, mm. ``room`` is where outlines may lie: the work area less what
    the tool needs beyond them. Of a roll the run has what was drawn off. ``plies`` says what each
    outline gives. ``parts`` are what is cut from each kind of sheet of its stock, by the number of
    the entry, and ``shortfall`` what the stock has no room for.
    ``motif_use`` is what cutting on a print's motifs takes.
    """

    run: Run
    loads: tuple[PlannedLoad, ...]
    bound: int
    complete: bool
    warnings: tuple[str, ...]
    room: WorkArea
    plies: Mapping[str, Plies]
    most_on_one: int | None = None
    length_bound: float | None = None
    parts: Mapping[int, PlannedRun] = field(default_factory=dict)
    shortfall: Shortfall | None = None
    motif_use: MotifUse | None = None

    def part_of(self, load: PlannedLoad) -> PlannedRun:
        """Return the part of the run that a load belongs to: the run itself without a stock."""
        return load.on or self
