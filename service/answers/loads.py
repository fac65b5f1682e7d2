"""Answers about loads: what lies where, how it is cut, and its files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from service.answers.stock import StockPlaceAnswer
from service.schemas.answers import (
    Inlined,
    Link,
    Mm,
)
from service.tools import KINDS

ESTIMATED = "drawn length, travel and stops at the cutter's speeds, without accelerations"
"""How times are estimated."""
PLACED = (
    "where the outlines lie. A point (x, y) of an outline, hole or mark, as the answer's "
    "pieces state it, is first mirrored (to -x, y; only where mirrored is true), then turned "
    "about 0, 0 by turn_deg, then moved by x_mm and y_mm. Example: with mirrored, turn_deg "
    "90, x_mm 100 and y_mm 50, the point (30, 10) is mirrored to (-30, 10), turned to (-10, "
    "-30) and moved to (90, 20). Labels are not mirrored: they stay readable in their place"
)
"""How a placement is applied."""


@dataclass(frozen=True, kw_only=True)
class PlacementAnswer:
    """The position of an outline: mirrored (if ``mirrored``), then turned, then moved."""

    piece: str
    x_mm: Annotated[float, "from the bed's lower left corner"]
    y_mm: Annotated[float, "from the bed's lower left corner"]
    turn_deg: Annotated[float, "counter-clockwise"]
    mirrored: Annotated[bool | None, "present only when the outline is turned over"] = None


@dataclass(frozen=True, kw_only=True)
class StopAnswer:
    """A stop for the operator."""

    before_stroke: int
    reason: str
    message: str
    station: int | None = None
    angle_deg: float | None = None


@dataclass(frozen=True, kw_only=True)
class ReadBackAnswer:
    """The result of an independent reader of the file."""

    reader: str
    worst_deviation_mm: Mm


@dataclass(frozen=True, kw_only=True)
class FileAnswer:
    """One file for a cutter."""

    name: str
    format: str
    media_type: str
    bytes: int
    sha256: str
    href: Annotated[Link, "address of the file"]
    pages: Annotated[
        int | None, "of a file to print: pages of the drawing, after the check page"
    ] = None
    read_back: ReadBackAnswer | None = None
    unproved: Annotated[bool | None, "present only where no reader checks the format's files"] = (
        None
    )


@dataclass(frozen=True, kw_only=True)
class OffcutAnswer:
    """A rectangle of the sheet that remains whole."""

    name: str
    x_mm: Mm
    y_mm: Mm
    width_mm: Mm
    height_mm: Mm


@dataclass(frozen=True, kw_only=True)
class RectangleAnswer:
    """A rectangle parallel to the bed's edges, in its coordinates."""

    x_mm: Mm
    y_mm: Mm
    width_mm: Mm
    height_mm: Mm


@dataclass(frozen=True, kw_only=True)
class UsedAnswer:
    """The used strip of a load's sheet, along the side that leaves the largest rest."""

    strip: RectangleAnswer
    area_mm2: float
    share: Annotated[float, "of the work area; for a roll, of the length used"]
    largest_rest: Annotated[
        RectangleAnswer | None, "the largest rectangle that remains whole; null if none is usable"
    ]


@dataclass(frozen=True, kw_only=True)
class LoadLayoutAnswer:
    """Where the outlines of one load lie; identical loads are listed once."""

    number: int
    repeats: int
    outlines: Annotated[Mapping[str, int], "outlines by piece"]
    pieces: Annotated[
        Mapping[str, int], "finished pieces by piece: outlines times layers, mirror images apart"
    ]
    mirrored: Annotated[
        Mapping[str, int] | None, "additional mirror images, of chiral pieces cut face to face"
    ] = None
    utilisation: Annotated[
        float, "share of the work area (of a roll: of the length used) in pieces"
    ]
    length_mm: Annotated[
        float | None, "length of the roll used for this load, including margins"
    ] = None
    used: UsedAnswer | None = None
    offcuts: Annotated[
        Sequence[OffcutAnswer] | None,
        "usable rectangles left over (25 mm wide and 2500 mm2 at least), the largest first, in "
        "the bed's coordinates; past its edge, too, where the sheet reaches past it",
    ] = None
    placements: Annotated[
        Sequence[PlacementAnswer],
        PLACED,
    ]


@dataclass(frozen=True, kw_only=True)
class PreviewLoadAnswer(LoadLayoutAnswer):
    """One load of the work area."""

    cut_length_mm: Annotated[float, "length of all strokes that touch the material"]
    travel_mm: Mm
    stops: Sequence[StopAnswer]
    steps: Annotated[
        Sequence[str] | None,
        "what is done at the machine each time it is cut, in order, as the run sheet says it",
    ] = None
    step_notes: Annotated[
        Sequence[str] | None,
        "what is to be known before the steps, where a file does not stop the machine",
    ] = None
    halt: Annotated[
        str | None,
        "what stops the machine where somebody works on it within the load: none (nobody does), "
        "by_itself, at_ends (of files), by_ends (either), by_hand (somebody counts strokes), "
        "by_format (by_itself or by_hand)",
    ] = None
    estimated_s: Annotated[float, ESTIMATED]
    estimated: Annotated[str | None, "the same as the run sheet prints it, rounded up"] = None
    of_tool: Annotated[object, Inlined(tuple(kind.load_answer for kind in KINDS))]
    of_stock: Annotated[StockPlaceAnswer | None, Inlined()] = None
    picture: Annotated[Link, "picture of the load, for viewing only, never for cutting"]
    path_picture: Annotated[
        Link | None, "picture of the tool path: order, starts, travel and stops"
    ] = None


@dataclass(frozen=True, kw_only=True)
class LoadAnswer(PreviewLoadAnswer):
    """One load of the work area with its files."""

    files: Sequence[FileAnswer]
