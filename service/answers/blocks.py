"""Blocks that were drawn, as the answer states them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from service.answers.inspections import NearestAnswer
from service.requests.blocks import BlockSchema
from service.requests.kits import KitRequestSchema
from service.schemas.answers import FromSchema, Json, Mm, Points


@dataclass(frozen=True, kw_only=True)
class TemplatePlace:
    """Where a template lies in the block: turned about its lower left corner, then moved."""

    turn_deg: float
    x_mm: Mm
    y_mm: Mm


@dataclass(frozen=True, kw_only=True)
class DrawnPieceAnswer:
    """A piece of a block, from its lower left corner, y up."""

    name: Annotated[str, "its group's letter and a number, from the top and from the left"]
    letter: str
    fabric: str
    points: Annotated[Points, "[x, y, bulge] in mm"]
    holes: Annotated[Sequence[Points], "rings drawn inside it that do not touch it"]
    area_mm2: Annotated[float, "without holes"]
    label_at: Annotated[Sequence[float], "a place well inside it"]
    template: TemplatePlace
    deviation_mm: Annotated[float, "largest distance between the template and the piece"]


@dataclass(frozen=True, kw_only=True)
class PieceGroupAnswer:
    """Congruent pieces, and the template for them."""

    letter: Annotated[str, "A for the largest; that of a mirror image ends in r"]
    quantity: Annotated[int, "in one block"]
    mirror_of: Annotated[str | None, "the letter of its mirror image"]
    is_symmetric: Annotated[bool, "whether its mirror image is itself"]
    points: Annotated[Points, "[x, y, bulge] in mm: the template, grain along y"]
    width_mm: float
    height_mm: float
    area_mm2: float
    nearest: NearestAnswer | None
    fabrics: Annotated[Mapping[str, int], "pieces in one block by fabric"]


@dataclass(frozen=True, kw_only=True)
class BlockSeamAnswer:
    """Where two pieces meet."""

    pieces: Annotated[Sequence[str], "their names"]
    length_mm: float
    is_straight: bool


@dataclass(frozen=True, kw_only=True)
class SeamMismatch:
    """Two sides that meet in the drawing while those of their templates differ."""

    pieces: Annotated[Sequence[str], "their names"]
    x_mm: Mm
    y_mm: Mm
    length_difference_mm: float
    bend_difference_mm: float


@dataclass(frozen=True, kw_only=True)
class SectionAnswer:
    """Pieces that are sewn on one paper foundation, or a single piece."""

    number: Annotated[int, "counted from 1"]
    pieces: Annotated[Sequence[str], "their names, in the order of sewing"]


@dataclass(frozen=True, kw_only=True)
class JoinAnswer:
    """A seam that joins sections."""

    number: Annotated[int, "counted from 1"]
    sections: Annotated[Sequence[int], "sewn before, on one side of the seam"]
    to_sections: Annotated[Sequence[int], "sewn before, on the other side"]
    seam: Annotated[str, "straight, curved or set-in"]


@dataclass(frozen=True, kw_only=True)
class SewingAnswer:
    """How a block is sewn: sections on paper foundations, and how they are joined."""

    is_one_foundation: Annotated[bool, "whether the whole block is sewn on one foundation"]
    sections: Sequence[SectionAnswer]
    joins: Annotated[Sequence[JoinAnswer], "in order"]
    set_in_seams: Annotated[int, "seams that cannot be sewn straight through"]
    is_fewest: Annotated[bool, "whether fewer sections are proved impossible"]
    min_sections: Annotated[int, "a proved lower bound"]


@dataclass(frozen=True, kw_only=True)
class RepairAnswer:
    """One repair of the drawing."""

    kind: Annotated[
        str,
        "dot, doubled-line, gap, overshoot, short-of-line, sliver or loose-line",
    ]
    x_mm: Mm
    y_mm: Mm
    size_mm: Annotated[float, "the gap, or what was removed: its length or width"]


@dataclass(frozen=True, kw_only=True)
class BlockAnswer:
    """A block: its pieces, groups and seams, and the kit that cuts it."""

    title: str
    format: Annotated[str, "json, or that of the file"]
    scale: Annotated[float, "finished size by drawn size"]
    snap_tolerance_mm: float
    width_mm: float
    height_mm: float
    area_mm2: float
    outline: Annotated[Points, "[x, y, bulge] in mm, from its lower left corner"]
    pieces: Sequence[DrawnPieceAnswer]
    groups: Sequence[PieceGroupAnswer]
    seams: Sequence[BlockSeamAnswer]
    sewing: Annotated[SewingAnswer | None, "null for a block of very many pieces, or with islands"]
    mismatches: Sequence[SeamMismatch]
    repairs: Sequence[RepairAnswer]
    kit: Annotated[Json | None, FromSchema(KitRequestSchema), "a body for POST /v1/kits"]
    block: Annotated[
        Json | None,
        FromSchema(BlockSchema),
        "for a quilt plan; null unless the block is a square of straight lines",
    ]
    picture: Annotated[str, "SVG of the block with its letters"]
    warnings: Sequence[str]
