"""Estimates what a kit costs from its request alone: never less than it takes, where it can tell.

The unit is one call of a function, of Python's or of C's: calls can be counted, and no clock is
needed. ``tests/property/test_small_means_small.py`` counts them, and every number below is at least
what was counted there over kinds, sizes, grains, marks, tools and formats. What can take long for
reasons that a request does not show (several kinds on a sheet, outlines with arcs, stock, motifs,
irregular beds, long searches, plug-ins) has no bound: its cost is infinite.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from adapters.registry import BUILT_IN as FORMATS
from geometry.errors import GeometryError
from geometry.model.cutter import Cutter
from service.requests.kits import KitRequest
from service.requests.pieces import PieceRequest
from service.requests.runs import Run
from service.sandbox.outline_corners import template_corners
from service.tools import kind_of

MAX_OUTLINES = 300
#: Kinds that fit well in rows; the first stage of their layout is short.
LAID_IN_ROWS = frozenset({
    "square", "rectangle", "hexagon", "octagon", "diamond_60", "diamond_45",
})  # fmt: skip
_DIAMONDS = frozenset({"diamond_60", "diamond_45"})
#: Number of rotations beyond which trying them counts as a search.
_MAX_TURNS = 4
#: Calls for a kit and for each of its runs, for the documents by name and for each label.
_KIT, _RUN, _LABEL_PRINTED = 10_000.0, 27_000.0, 1_500.0
_DOCUMENTS = {"run_sheet": 45_000.0, "labels": 15_000.0, "cutting_list": 2_000.0, "quote": 10_000.0}
#: Calls for one corner of one piece's outlines, drawn, measured and stated.
_DRAWN = 1_000.0
#: Calls for a load's file in each format besides its outlines; and loads that differ: the full
#: ones are equal, and the last one is not.
_FILE = {"svg": 5_000.0, "dxf": 55_000.0, "hpgl": 15_000.0, "pdf": 80_000.0, "plan": 12_000.0}
_OTHER_FILE = 80_000.0
_DIFFERENT_LOADS = 2
#: Calls for the layout of straight outlines, by effort: of diamonds, of other kinds, and for each
#: outline. Normal effort only where all of them lie on one load.
_LAYOUT = {"quick": (230_000.0, 170_000.0), "normal": (420_000.0, 200_000.0)}
_LAID = 200.0
#: Calls for a corner of an outline on a load: laid out and cut, and written in one format, both
#: also for each corner's share of the tool's path relative to a beam's.
_CUT, _PATH, _WRITTEN = 500.0, 100.0, 150.0
#: Corners added by each kind of mark: by a letter of a label, an arrow, a hole, a tie, and for each
#: edge by match marks.
_LETTER, _ARROW, _HOLE, _TIE, _MATCH = 6.0, 8.0, 20.0, 2.0, 3.0
#: How far a patch's corner lies beyond its template's, at most, in allowances: the sharpest
#: corner of the kinds above has 45 degrees, and 1 / sin(45 / 2) is 2.613.
_REACH = 1.0 / math.sin(math.radians(45.0 / 2.0))


def kit_cost(request: KitRequest) -> float:
    """Return the most calls that a kit takes; infinite where a request does not show it."""
    pieces = {piece.id: piece for piece in request.pieces}
    documents = sum(_DOCUMENTS.get(name, math.inf) for name in request.documents)
    labels = request.copies * len(pieces) if "labels" in request.documents else 0
    drawn = _DRAWN * sum(map(_corners, request.pieces))
    runs = sum(_run_cost(pieces, run) for run in request.runs)
    return _KIT + documents + _LABEL_PRINTED * labels + drawn + runs


def _run_cost(pieces: Mapping[str, PieceRequest], run: Run) -> float:
    if not _is_bounded(pieces, run):
        return math.inf
    (which, count), *_ = run.quantities.items()
    piece = pieces[which]
    uses = run.reuse if run.cut == "template" else 1
    outlines = math.ceil(count / (run.layers * uses))
    is_one_load = _is_one_load(piece, run, outlines)
    if outlines > MAX_OUTLINES or (run.effort == "normal" and not is_one_load):
        return math.inf
    if not _is_one_load(piece, run, 1):
        # A turn at which it fits is searched for.
        return math.inf
    loads = 1 if is_one_load else min(outlines, _DIFFERENT_LOADS)
    files = loads * sum(_FILE.get(name, _OTHER_FILE) for name in run.formats)
    of_diamonds, of_others = _LAYOUT[str(run.effort)]
    layout = of_diamonds if piece.shape.kind in _DIAMONDS else of_others
    corners = _corners(piece) + _TIE * (0 if run.ties is None else run.ties.count)
    path = kind_of(run.cutter.tool).path_cost or math.inf
    each = _LAID + corners * (_CUT + path * (_PATH + _WRITTEN * len(run.formats)))
    return _RUN + files + layout + outlines * each


def _is_bounded(pieces: Mapping[str, PieceRequest], run: Run) -> bool:
    """Return whether a request shows what a run costs at most."""
    if len(run.quantities) != 1 or not _is_plain(run.cutter):
        return False
    piece = pieces[next(iter(run.quantities))]
    turns = 0 if isinstance(piece.turns, str) else len(piece.turns)
    return (
        run.effort in _LAYOUT
        and all(name in FORMATS for name in run.formats)
        and piece.shape.kind in LAID_IN_ROWS
        and turns <= _MAX_TURNS
        and not _has_arcs(piece, run)
        and not (run.fills or run.stock or run.anchors)
    )


def _has_arcs(piece: PieceRequest, run: Run) -> bool:
    """Return whether what is laid out has arcs: drawing those together takes ten times as long."""
    return run.cut == "patch" and "round" in piece.corners.kinds


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
    corners, marks = template_corners(piece), piece.marks
    total = corners + _LETTER * len(marks.label)
    if marks.seam_line:
        total += corners
    if marks.match_marks:
        total += _MATCH * corners
    if marks.grain_arrow:
        total += _ARROW
    if marks.removal_hole:
        total += _HOLE
    return total
