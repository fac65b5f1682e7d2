"""Blocks that are drawn: lines and arcs as JSON, or a drawing's file, and how they are made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate

from geometry.blocks.drawing import MAX_DRAWN
from geometry.model.outline import Vertex
from geometry.units import MM_PER_INCH, UNIT_MM
from service.requests.inspections import FORMATS
from service.requests.pieces import units
from service.requests.plain_paths import DrawnPath, Paths
from service.schemas.context import current
from service.schemas.errors import unread, unusable
from service.schemas.fields import (
    CUTTER_NAME,
    Bool,
    Digits,
    Int,
    Length,
    Name,
    Points,
    Strict,
    Text,
)

MAX_PATHS = 10_000
MAX_BLOCKS = 1_000
_MIN_WIDTH, _MAX_WIDTH = 10.0, 3_000.0
_MIN_TOLERANCE, _MAX_TOLERANCE = 0.001, 5.0
_MAX_ALLOWANCE = 50.0
_SNAP = 0.5
_USUAL_CUTTER = "drag-blade-sheet"
UNTITLED = "Untitled block"
_LOOSE = ("refuse", "remove")
_TEMPLATES = ("one", "every")
PAPERS = ("letter", "a4")


@dataclass(frozen=True)
class DrawnBlockRequest:
    """How a block is read and made, lengths in mm.

    Args:
        title: of the block.
        units: in which its kit states lengths, and of a file that states none; ``None`` for mm.
        paths: that are drawn; empty where a file is sent.
        format: of the file; ``None`` to recognise it by its first bytes.
        group: a layer, group or id of the file; empty for everything.
        finished_width: to which it is scaled; ``None`` to keep its size.
        snap_tolerance: within which ends are snapped.
        remove_loose: whether lines that enclose nothing are removed.
        blocks: how many alike.
        allowance: of every seam.
        outer_allowance: of the block's edge.
        templates: ``one`` of each kind, or ``every`` piece its own, as for paper piecing.
        cutter: name of the cutter that the kit is made for.
        paper: that its pages are printed on.
    """

    title: str
    units: str | None
    paths: tuple[DrawnPath, ...]
    format: str | None
    group: str
    finished_width: float | None
    snap_tolerance: float
    remove_loose: bool
    blocks: int
    allowance: float
    outer_allowance: float
    templates: str
    cutter: str
    paper: str


class DrawnPathSchema(Strict):
    """Lines and arcs, one after the other."""

    points = Points(
        required=True,
        metadata={
            "description": "[x, y] or [x, y, bulge] in the request's units, y up; a bulge bends "
            "the line to the next point (tan of a quarter of the arc, positive counter-clockwise)"
        },
    )
    closed = Bool(
        load_default=False, metadata={"description": "whether the last point joins the first"}
    )
    fabric = Text(
        40, least=1, metadata={"description": "of what a closed path encloses; the last one counts"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> DrawnPath:  # noqa: ANN401
        known = current()
        if known.units_are_wrong:
            raise unread()
        if known.units is None:
            raise unusable('Points need the request\'s "units" ("in", "mm" or "cm").', "points")
        if "fabric" in data and not data["closed"]:
            raise unusable(
                "Only a closed path encloses fabric; set closed, or leave this out.", "fabric"
            )
        scale = UNIT_MM[known.units]
        _check_bulges(data["points"])
        vertices = tuple(
            Vertex(row[0] * scale, row[1] * scale, *map(float, row[2:])) for row in data["points"]
        )
        return DrawnPath(vertices, data["closed"], data.get("fabric", ""))


def _check_bulges(rows: list[list[float]]) -> None:
    for index, row in enumerate(rows):
        if len(row) > 2 and abs(row[2]) > 1.0:  # noqa: PLR2004 - x, y, bulge
            detail = "A bulge is from -1 to 1 (half a circle); split a longer arc in two."
            raise unusable(detail, "points", index, 2)


def _length(minimum: float, maximum: float, description: str, **how: Any) -> Length:  # noqa: ANN401
    return Length(min_mm=minimum, max_mm=maximum, metadata={"description": description}, **how)


class _HowSchema(Strict):
    """What a body and a form have in common."""

    units = units()
    title = Text(120)
    finished_width = _length(
        _MIN_WIDTH,
        _MAX_WIDTH,
        "of the block without allowances, to which the drawing is scaled; its own size when left "
        "out",
    )
    snap_tolerance = Length(
        min_mm=_MIN_TOLERANCE,
        max_mm=_MAX_TOLERANCE,
        default_mm=_SNAP,
        metadata={
            "description": "ends of lines within this distance are joined, doubled lines within it "
            "made one, and pieces within it are equal; at the finished size"
        },
    )
    loose_lines = fields.String(
        validate=validate.OneOf(_LOOSE),
        load_default="refuse",
        metadata={"description": "what is done with lines that enclose nothing"},
    )
    seam_allowance = Length(
        min_mm=0.0,
        max_mm=_MAX_ALLOWANCE,
        load_default=0.25 * MM_PER_INCH,
        metadata={"default": "1/4 in"},
    )
    outer_allowance = _length(
        0.0, _MAX_ALLOWANCE, "of the block's edge; the seam allowance when left out"
    )
    templates = fields.String(
        validate=validate.OneOf(_TEMPLATES),
        load_default="one",
        metadata={
            "description": "in the kit: one of each kind, or one for every piece, as paper piecing "
            "needs"
        },
    )
    cutter = Name(
        CUTTER_NAME,
        "A cutter's name has lower-case letters, digits and hyphens.",
        load_default=_USUAL_CUTTER,
    )
    paper = fields.String(
        validate=validate.OneOf(PAPERS),
        metadata={
            "description": "for the pages to print; letter for a block in inches, else a4, when "
            "left out"
        },
    )


class DrawnBlockRequestSchema(_HowSchema):
    """A block as lines and arcs, or one by name."""

    names_blocks = "drawing"

    block = Name(
        CUTTER_NAME,
        "A block's name has lower-case letters, digits and hyphens.",
        metadata={
            "description": "of a block of the gallery or a saved one, in place of paths; members "
            "that the request states replace those that were saved, and without units of its own "
            "it has the saved block's"
        },
    )
    paths = Paths(
        fields.Nested(DrawnPathSchema),
        validate=validate.Length(1, MAX_PATHS),
        metadata={"description": "required unless a block is named"},
    )
    blocks = Int(
        validate=validate.Range(1, MAX_BLOCKS),
        load_default=1,
        metadata={"description": "how many alike"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> DrawnBlockRequest:  # noqa: ANN401
        _check_paths(data)
        return _request(data, tuple(data["paths"]))


def _check_paths(data: Mapping[str, Any]) -> None:
    if "block" in data and "paths" in data:
        raise unusable("Give either paths or the name of a block.", "block")
    if "block" in data:
        # The name of a known block was replaced by its drawing before: see `saved_blocks`.
        raise unusable(
            f'There is no block named "{data["block"]}"; GET /v1/blocks lists them.', "block"
        )
    if "paths" not in data:
        raise unusable("`paths` is required, or the name of a `block`.", "paths")
    # Refused where it is loaded, in a child process if it is long, and not passed on from there.
    if sum(len(path.vertices) - 1 + path.closed for path in data["paths"]) > MAX_DRAWN:
        raise unusable(f"A block has at most {MAX_DRAWN} lines and arcs.", "paths")


@dataclass(frozen=True)
class SavedBlock:
    """A block to be saved: as it is read, and its JSON."""

    request: DrawnBlockRequest
    document: dict[str, Any]


class SavedBlockSchema(DrawnBlockRequestSchema):
    """A block to be saved under a name."""

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], document: dict[str, Any], **_: Any) -> Any:  # noqa: ANN401
        _check_paths(data)
        return SavedBlock(_request(data, tuple(data["paths"])), document)


class DrawnBlockFormSchema(_HowSchema):
    """The text fields beside a drawing's file; lengths state their units."""

    format = fields.String(
        validate=validate.OneOf(FORMATS),
        metadata={"description": "format of the file; guessed from its beginning when left out"},
    )
    group = fields.String(
        validate=validate.Length(1, 100),
        metadata={"description": "a layer, group or id; everything when left out"},
    )
    blocks = Digits(
        validate=validate.Range(1, MAX_BLOCKS),
        load_default=1,
        metadata={"description": "how many alike"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> DrawnBlockRequest:  # noqa: ANN401
        return _request(data, ())


def _request(data: Mapping[str, Any], paths: tuple[DrawnPath, ...]) -> DrawnBlockRequest:
    return DrawnBlockRequest(
        title=data.get("title") or UNTITLED,
        units=data.get("units"),
        paths=paths,
        format=data.get("format"),
        group=data.get("group", ""),
        finished_width=data.get("finished_width"),
        snap_tolerance=data["snap_tolerance"],
        remove_loose=data["loose_lines"] == "remove",
        blocks=data["blocks"],
        allowance=data["seam_allowance"],
        outer_allowance=data.get("outer_allowance", data["seam_allowance"]),
        templates=data["templates"],
        cutter=data["cutter"],
        paper=data.get("paper", "letter" if data.get("units") == "in" else "a4"),
    )
