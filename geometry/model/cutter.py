"""The cutter: its tool, its bed and its keep-outs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, ClassVar, Literal, TypeAlias

from geometry.model.outline import Outline
from geometry.model.plausible import (
    BLADE_WIDTH,
    HAND_SPEED,
    KERF,
    OFFSET,
    RULE,
    SPEED,
    STEP,
    require_plausible,
)
from geometry.model.segments import Bounds


@dataclass(frozen=True, slots=True)
class DragBlade:
    """A blade that swivels and trails its axis by ``offset`` mm."""

    kind: ClassVar[str] = "drag_blade"
    offset: float = 0.25
    machine_compensates: bool = False

    def __post_init__(self) -> None:
        """Raise an error for an implausible offset."""
        require_plausible(offset=(self.offset, OFFSET))


@dataclass(frozen=True, slots=True)
class IndexedBlade:
    """A chisel blade that is set by hand to one of ``positions_deg``.

    Units:
        degrees counter-clockwise from the bed's x axis; ``width`` of the blade and ``step``
        between stabs in mm.
    """

    kind: ClassVar[str] = "indexed_blade"
    positions_deg: tuple[float, ...] = (0.0, 45.0, 90.0, 135.0)
    width: float = 0.8
    step: float = 0.3

    def __post_init__(self) -> None:
        """Raise an error for an implausible width or step."""
        require_plausible(blade_width=(self.width, BLADE_WIDTH), step=(self.step, STEP))


@dataclass(frozen=True, slots=True)
class Laser:
    """A beam that burns a slot ``kerf`` mm wide."""

    kind: ClassVar[str] = "laser"
    kerf: float = 0.2

    def __post_init__(self) -> None:
        """Raise an error for an implausible kerf."""
        require_plausible(kerf=(self.kerf, KERF))


@dataclass(frozen=True, slots=True)
class SteelRuleDie:
    """A bent steel rule of ``rule`` mm thickness, edge in the middle."""

    kind: ClassVar[str] = "steel_rule_die"
    rule: float = 0.71

    def __post_init__(self) -> None:
        """Raise an error for an implausible thickness."""
        require_plausible(rule=(self.rule, RULE))


@dataclass(frozen=True, slots=True)
class Pen:
    """A pen: the operator cuts its lines by hand at ``hand_speed`` mm/s, including handling.

    Source:
        10 mm/s is common practice, no source: half a metre of card per minute with scissors, or
        with a rotary cutter along a ruler.
    """

    kind: ClassVar[str] = "pen"
    hand_speed: float = 10.0

    def __post_init__(self) -> None:
        """Raise an error for an implausible speed."""
        require_plausible(hand_speed=(self.hand_speed, HAND_SPEED))


Tool: TypeAlias = DragBlade | IndexedBlade | Laser | SteelRuleDie | Pen


@dataclass(frozen=True, slots=True)
class Margins:
    """The reach of the tool's head beyond its axis on each side, mm."""

    left: float = 0.0
    right: float = 0.0
    top: float = 0.0
    bottom: float = 0.0


@dataclass(frozen=True, slots=True)
class Bed:
    """Opening of bed, hoop or mat, mm, lower left corner at 0,0.

    ``boundary`` is the opening's own outline where it is not the full rectangle, and ``keep_outs``
    are areas inside it that the tool must not enter. A ``roll`` runs along x: ``height`` is the
    roll's width, and ``width`` the maximum length used at once, infinite if unlimited.
    """

    width: float
    height: float
    boundary: Outline | None = None
    keep_outs: tuple[Outline, ...] = ()
    roll: bool = False

    @property
    def edge(self) -> Outline:
        """Return the outline of the opening, mm."""
        return self.boundary or WorkArea.rectangle(0.0, 0.0, self.width, self.height).boundary


@dataclass(frozen=True, slots=True)
class Cutter:
    """A machine: tool, bed, margins, speeds for time estimates, and settings of its files.

    Units:
        speeds in mm/s, ``stop_s`` seconds for one stop of the operator. ``formats`` maps a
        format's name to that adapter's settings. ``head`` is the shape of the tool's head
        between its four reaches: ``round`` (quarter ellipses) or ``rectangle``. ``passes`` are
        those that the machine makes over the same line. ``title`` is a name for people.
    """

    name: str
    tool: Tool
    bed: Bed
    margins: Margins = Margins()
    speed: float = 50.0
    travel_speed: float = 150.0
    stop_s: float = 20.0
    formats: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    head: Literal["round", "rectangle"] = "round"
    passes: int = 1
    title: str = ""

    def __post_init__(self) -> None:
        """Raise an error for implausible speeds, which would make estimated times useless."""
        require_plausible(speed=(self.speed, SPEED), travel_speed=(self.travel_speed, SPEED))


@dataclass(frozen=True)
class WorkArea:
    """The area for cut lines: inside ``boundary`` and outside all ``keep_outs``.

    A plain rectangle has ``boundary`` of four vertices; :attr:`bounds` is always its box.
    ``open_right`` says that the right side is not a limit (roll stock: width fixed, length
    minimised) up to ``longest`` mm from the left side.
    """

    boundary: Outline
    keep_outs: tuple[Outline, ...] = ()
    open_right: bool = False
    longest: float = math.inf

    @classmethod
    def rectangle(cls, x: float, y: float, width: float, height: float) -> WorkArea:
        """Return the upright rectangle with its lower left corner at ``x``, ``y``."""
        return cls(Outline.of([(x, y), (x + width, y), (x + width, y + height), (x, y + height)]))

    @classmethod
    def roll(cls, x: float, y: float, height: float, longest: float = math.inf) -> WorkArea:
        """Return a roll that runs to the right from its lower left corner at ``x``, ``y``."""
        return cls(cls.rectangle(x, y, height, height).boundary, open_right=True, longest=longest)

    @property
    def bounds(self) -> Bounds:
        """Return the bounding box, mm."""
        return self.boundary.bounds

    @property
    def is_rectangle(self) -> bool:
        """Return whether the area is a plain rectangle without keep-outs."""
        return self.is_box and not self.keep_outs

    @cached_property
    def is_box(self) -> bool:
        """Return whether the boundary is a plain upright rectangle, whatever the keep-outs."""
        box = self.bounds
        corners = {(box.left, box.bottom), (box.right, box.bottom)} | {
            (box.right, box.top),
            (box.left, box.top),
        }
        return (
            not self.boundary.has_arcs
            and len(self.boundary.vertices) == len(corners)
            and {(v.x, v.y) for v in self.boundary.vertices} == corners
        )
