"""Admission control: estimates the cost of a computation from its request alone.

The unit of cost is about one corner of one outline, laid out, cut and written once. Computations
that can take long for reasons that a request does not show (searches, irregular beds, plug-ins) are
never small.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from adapters.registry import BUILT_IN as FORMATS
from geometry.errors import GeometryError
from geometry.model.cutter import Cutter
from service.errors import RequestError
from service.kits.recuts import narrowed
from service.requests.kits import KitRequest, kit_request
from service.requests.pieces import PieceRequest
from service.requests.recuts import RecutRequest
from service.requests.runs import Run
from service.requests.shapes import CustomShape, Shape
from service.tools import kind_of

#: Limits below which a computation takes well under a second; tests measure this.
MAX_KINDS = 20
MAX_OUTLINE_CORNERS = 200
MAX_OUTLINES = 300
MAX_COST = 1_000.0
#: Limits under which a kit in a child takes a second or so.
MAX_MODEST_RUNS = 4
MAX_MODEST_OUTLINES = 1_000
#: Corners by which a shape with curves is counted: some formats write each as many lines.
_CURVED = 40.0
_USUAL = 8.0
_STRAIGHT = {
    "hexagon": 6.0,
    "triangle": 3.0,
    "square": 4.0,
    "pentagon": 5.0,
    "octagon": 8.0,
    "rectangle": 4.0,
    "diamond_60": 4.0,
    "diamond_45": 4.0,
    "star_diamond": 4.0,
    "parallelogram": 4.0,
    "half_square_triangle": 3.0,
    "quarter_square_triangle": 3.0,
    "right_triangle": 3.0,
}
_OTHER_STRAIGHT = {
    "tumbler", "half_hexagon", "half_hexagon_flat", "hexagon_third", "jewel", "kite",
    "octagon_kite", "elongated_hexagon", "honeycomb", "elongated_hexagon_120",
}  # fmt: skip
#: Corners added by each kind of mark.
_LABEL, _ARROW, _HOLE = 60.0, 8.0, 20.0
#: Kinds that fit well in rows; the first stage of their layout is short.
LAID_IN_ROWS = frozenset({
    "square", "rectangle", "hexagon", "octagon", "diamond_60", "diamond_45",
})  # fmt: skip
#: Cost of a run besides its outlines: run sheet, pictures, the first search of rows.
_RUN = 100.0
#: Cost of the usual effort relative to ``quick`` where all goes on one load. Own measurement.
_NORMAL = 1.5
#: How far a patch's corner lies beyond its template's, at most, in allowances: the sharpest
#: corner of the kinds above has 45 degrees, and 1 / sin(45 / 2) is 2.613.
_REACH = 1.0 / math.sin(math.radians(45.0 / 2.0))
#: Number of rotations beyond which trying them counts as a search.
_MAX_TURNS = 4


def outlines_are_small(pieces: Sequence[PieceRequest]) -> bool:
    """Return whether computing these outlines is cheap."""
    corners = sum(map(_template_corners, pieces))
    return len(pieces) <= MAX_KINDS and corners <= MAX_OUTLINE_CORNERS


def kit_is_small(request: KitRequest) -> bool:
    """Return whether creating this kit is cheap."""
    return outlines_are_small(request.pieces) and kit_cost(request) <= MAX_COST


def kit_is_modest(request: KitRequest) -> bool:
    """Return whether making this kit is work of a second or so, as most kits are."""
    outlines = sum(sum(run.quantities.values()) for run in request.runs)
    return (
        len(request.runs) <= MAX_MODEST_RUNS
        and len(request.pieces) <= MAX_KINDS
        and outlines <= MAX_MODEST_OUTLINES
        and all(run.effort in {"quick", "normal"} for run in request.runs)
    )


def recut_is_small(
    stored: Mapping[str, Any], request: RecutRequest, cutters: Mapping[str, Mapping[str, Any]]
) -> bool:
    """Return whether a recut of a stored kit's pieces is cheap.

    Args:
        stored: the stored kit's request.
        request: what is cut again.
        cutters: the stored kit's cutters.
    """
    try:
        document = narrowed(stored, request)
    except RequestError:
        # It is refused before anything is computed.
        return True
    try:
        return kit_is_small(kit_request(document, cutters.get))
    except RequestError:
        # An earlier version accepted it; its cost is unknown.
        return False


def kit_cost(request: KitRequest) -> float:
    """Return the estimated cost of a kit; infinite where a request does not show it."""
    pieces = {piece.id: piece for piece in request.pieces}
    return sum(_run_cost(pieces, run) for run in request.runs)


def _run_cost(pieces: Mapping[str, PieceRequest], run: Run) -> float:
    # Several kinds on one sheet are a search; a plug-in can take any time.
    if (
        len(run.quantities) != 1
        or not _is_plain(run.cutter)
        or not all(name in FORMATS for name in run.formats)
    ):
        return math.inf
    (which, count), *_ = run.quantities.items()
    piece = pieces[which]
    uses = run.reuse if run.cut == "template" else 1
    outlines = math.ceil(count / (run.layers * uses))
    turns = 0 if isinstance(piece.turns, str) else len(piece.turns)
    if outlines > MAX_OUTLINES or piece.shape.kind not in LAID_IN_ROWS or turns > _MAX_TURNS:
        return math.inf
    if run.effort not in {"quick", "normal"}:
        return math.inf
    corners = _corners(piece) + 4.0 * (0 if run.ties is None else run.ties.count)
    shared = 2.0 if run.common_line else 1.0
    tool = shared * (kind_of(run.cutter.tool).path_cost or math.inf)
    search = _NORMAL if run.effort == "normal" else 1.0
    cost = _RUN + search * outlines * corners * tool * (1.0 + len(run.formats))
    # The piece is drawn last: it takes longer than all else here.
    if run.effort == "normal" and cost <= MAX_COST and not _is_one_load(piece, run, outlines):
        return math.inf
    return cost


def _is_one_load(piece: PieceRequest, run: Run, outlines: int) -> bool:
    """Return whether straight rows hold all outlines, so that no search for fewer loads follows."""
    try:
        box = piece.shape.outline().bounds
    except GeometryError:
        return False
    allowance = max(piece.seam_allowance.default, *piece.seam_allowance.edges.values(), 0.0)
    grown = 0.0 if run.cut == "template" else 2.0 * _REACH * allowance
    room = run.area.bounds
    across = math.floor((room.width + run.gap) / (box.width + grown + run.gap))
    up = math.floor((room.height + run.gap) / (box.height + grown + run.gap))
    return outlines <= max(across, 0) * max(up, 0)


def _is_plain(cutter: Cutter) -> bool:
    """Return whether a cutter's bed is a rectangle and its tool's paths are short to compute."""
    bed = cutter.bed
    known = kind_of(cutter.tool).path_cost is not None
    return known and bed.boundary is None and not bed.roll and not bed.keep_outs


def _corners(piece: PieceRequest) -> float:
    """Return the estimated number of corners of one outline of a piece, marks included."""
    corners, marks = _template_corners(piece), piece.marks
    total = corners
    if marks.seam_line:
        total += corners
    if marks.match_marks:
        total += 4.0 * corners
    if marks.label:
        total += _LABEL
    if marks.grain_arrow:
        total += _ARROW
    if marks.removal_hole:
        total += _HOLE
    return total


def _template_corners(piece: PieceRequest) -> float:
    treatments = (piece.corners.usual, *piece.corners.overrides.values())
    # A round corner is an arc, which some formats write as many lines.
    is_round = any(each.kind == "round" for each in treatments)
    return _shape_corners(piece.shape) * (8.0 if is_round else 1.0)


def _shape_corners(shape: Shape) -> float:
    if isinstance(shape, CustomShape):
        if shape.path:
            return math.inf
        return sum(_CURVED / 2 if len(row) > 2 and row[2] else 1.0 for row in shape.points)  # noqa: PLR2004
    if "rounds" in shape.values:
        return 12.0 * float(shape.values["rounds"]) + 6.0
    if shape.kind == "regular_polygon":
        return float(shape.values.get("sides", _USUAL))
    if shape.kind in _STRAIGHT:
        return _STRAIGHT[shape.kind]
    return _USUAL if shape.kind in _OTHER_STRAIGHT else _CURVED
