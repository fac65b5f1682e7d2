"""What is laid out and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeAlias

from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement

#: ``free``, ``half-turn``, ``fixed`` or the allowed turns in degrees.
Turns: TypeAlias = str | tuple[float, ...]
#: Areas that differ by less than this share are the same.
_SAME = 1e-7
#: The places of pieces on one load.
Filling: TypeAlias = tuple[Placement, ...]


def stated_turns_deg(turns: Turns) -> tuple[float, ...] | None:
    """Return allowed turns in degrees, ``None`` when any will do."""
    if turns == "free":
        return None
    if turns == "half-turn":
        return (0.0, 180.0)
    if turns == "fixed":
        return (0.0,)
    return tuple(sorted({float(turn) % 360.0 for turn in turns}))


@dataclass(frozen=True)
class Item:
    """One kind of piece to place: how many outlines, how it may be turned.

    ``per_set`` are its outlines in one whole set; 0 stands for its share of the quantities.
    """

    piece: str
    outline: Outline
    quantity: int
    turns: Turns = "free"
    mirror: bool = False
    per_set: int = 0

    @property
    def stated_turns_deg(self) -> tuple[float, ...] | None:
        """The allowed turns, degrees, or ``None`` when any will do."""
        return stated_turns_deg(self.turns)

    @property
    def fills_its_box(self) -> bool:
        """Return whether the outline is an upright rectangle."""
        box = self.outline.bounds
        return abs(area(self.outline) - box.width * box.height) < _SAME * box.width * box.height


@dataclass(frozen=True)
class Offcut:
    """A usable rectangle left over on a load, mm; ``load`` counts from 0."""

    load: int
    name: str
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Used:
    """The strip of a load's sheet that is used, from one side to the far end of the pieces.

    ``share`` is of the work area's; ``rest`` is the largest rectangle that stays whole, as left,
    bottom, width and height, ``None`` where none is of use.

    Units:
        mm and mm2.
    """

    left: float
    bottom: float
    right: float
    top: float
    area: float
    share: float
    rest: tuple[float, float, float, float] | None = None


@dataclass(frozen=True)
class Layout:
    """All loads that an order of items takes.

    ``bound`` is the least number of loads that any layout could need (by area, or better);
    ``most_on_one`` is the most outlines that a load can hold of an order of one kind, and
    ``length_bound`` the shortest length of roll, mm, where those are what matters;
    ``complete`` says whether the search was not cut short; ``utilisation`` is the share of the
    work area that each load covers, ``used`` the strip of the sheet that it takes.
    """

    loads: tuple[Load, ...]
    complete: bool = True
    warnings: tuple[str, ...] = ()
    bound: int = 0
    offcuts: tuple[Offcut, ...] = field(default=())
    utilisation: tuple[float, ...] = ()
    used: tuple[Used, ...] = ()
    most_on_one: int | None = None
    length_bound: float | None = None
