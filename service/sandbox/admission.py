"""Admission control: estimates the cost of a computation from its request alone.

The unit of cost is about one corner of one outline, laid out, cut and written once. Computations
that can take long for reasons that a request does not show (searches, irregular beds, plug-ins) are
never small.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from adapters.registry import BUILT_IN as FORMATS
from service.requests.builtin_cutters import BUILT_IN as CUTTERS

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
#: Cost of a tool's path relative to a beam's; paths of tools not listed can be long.
_TOOLS = {"laser": 1.0, "pen": 1.0, "drag_blade": 3.0}
#: Kinds that fit well in rows; the first stage of their layout is short.
LAID_IN_ROWS = frozenset({
    "square", "rectangle", "hexagon", "octagon", "diamond_60", "diamond_45",
})  # fmt: skip
#: Cost of a run besides its outlines: run sheet, pictures, the first search of rows.
_RUN = 100.0
#: Number of rotations beyond which trying them counts as a search.
_MAX_TURNS = 4

Body = Mapping[str, Any]


def outlines_are_small(body: Body) -> bool:
    """Return whether computing these outlines is cheap."""
    corners = sum(_template_corners(piece) for piece in body["pieces"])
    return len(body["pieces"]) <= MAX_KINDS and corners <= MAX_OUTLINE_CORNERS


def kit_is_small(body: Body, cutters: Mapping[str, Body] = CUTTERS) -> bool:
    """Return whether creating this kit is cheap.

    Args:
        body: the loaded request.
        cutters: the cutters that it names.
    """
    return outlines_are_small(body) and kit_cost(body, cutters) <= MAX_COST


def kit_is_modest(body: Body) -> bool:
    """Return whether making this kit is work of a second or so, as most kits are."""
    quantities = {piece["id"]: piece.get("quantity", 1) for piece in body["pieces"]}
    runs = body["runs"]
    outlines = 0
    for run in runs:
        chosen = run.get("pieces")
        if chosen is None:
            outlines += sum(quantities.values())
        else:
            outlines += sum(each.get("quantity", quantities.get(each["id"], 1)) for each in chosen)
    return (
        len(runs) <= MAX_MODEST_RUNS
        and len(quantities) <= MAX_KINDS
        and outlines <= MAX_MODEST_OUTLINES
        and all(run.get("effort", "normal") in {"quick", "normal"} for run in runs)
    )


def recut_is_small(stored: Body, chosen: Body, cutters: Mapping[str, Body]) -> bool:
    """Return whether a recut of a stored kit's pieces is cheap.

    Args:
        stored: the stored kit's request.
        chosen: the recut's own: ``run``, from 1, and ``pieces`` with their counts.
        cutters: the stored kit's cutters.
    """
    runs = stored["runs"]
    if chosen["run"] > len(runs):
        # It is refused before anything is computed.
        return True
    pieces = [
        {**piece, "quantity": chosen["pieces"][piece["id"]]}
        for piece in stored["pieces"]
        if piece["id"] in chosen["pieces"]
    ]
    wanted = [{"id": piece["id"]} for piece in pieces]
    narrowed = {"pieces": pieces, "runs": [{**runs[chosen["run"] - 1], "pieces": wanted}]}
    return kit_is_small(narrowed, cutters)


def kit_cost(body: Body, cutters: Mapping[str, Body] = CUTTERS) -> float:
    """Return the estimated cost of a kit; infinite where the request does not show it."""
    pieces = {piece["id"]: piece for piece in body["pieces"]}
    return sum(_run_cost(pieces, run, cutters) for run in body["runs"])


def _run_cost(pieces: Mapping[str, Body], run: Body, cutters: Mapping[str, Body]) -> float:
    wanted = {each: piece.get("quantity", 1) for each, piece in pieces.items()}
    chosen = run.get("pieces")
    if chosen is not None:
        wanted = {each["id"]: each.get("quantity", wanted.get(each["id"], 1)) for each in chosen}
    named = run["cutter"]
    cutter = cutters.get(named) if isinstance(named, str) else named
    formats = run.get("formats", ("svg",))
    # Several kinds on one sheet, or any effort but quick, are searches; a plug-in can take any
    # time.
    if (
        len(wanted) != 1
        or cutter is None
        or not _is_plain(cutter)
        or not all(name in FORMATS for name in formats)
        or run.get("effort", "normal") != "quick"
    ):
        return math.inf
    (which, count), *_ = wanted.items()
    piece = pieces.get(which)
    if piece is None:
        # It is refused before anything is computed.
        return 0.0
    uses = run.get("reuse", 1) if run["cut"] == "template" else 1
    outlines = math.ceil(count / (run.get("layers", 1) * uses))
    if (
        outlines > MAX_OUTLINES
        or piece["shape"]["kind"] not in LAID_IN_ROWS
        or _turns(piece) > _MAX_TURNS
    ):
        return math.inf
    corners = _corners(piece) + 4.0 * run.get("ties", {}).get("count", 0)
    shared = 2.0 if run.get("common_line") else 1.0
    tool = shared * _TOOLS[cutter["tool"]["kind"]]
    return float(_RUN + outlines * corners * tool * (1.0 + len(formats)))


def _is_plain(cutter: Body) -> bool:
    """Return whether a cutter's bed is a rectangle and its tool's paths are short to compute."""
    bed = cutter["bed"]
    return (
        cutter["tool"]["kind"] in _TOOLS
        and bed.get("shape", "rectangle") == "rectangle"
        and not bed.get("keep_out")
    )


def _turns(piece: Body) -> int:
    grain = piece.get("grain")
    return len(grain) if isinstance(grain, (list, tuple)) else 0


def _corners(piece: Body) -> float:
    """Return the estimated number of corners of one outline of a piece, marks included."""
    corners = _template_corners(piece)
    total = corners
    if piece.get("seam_line"):
        total += corners
    if piece.get("match_marks"):
        total += 4.0 * corners
    if piece.get("label"):
        total += _LABEL
    if piece.get("grain_arrow"):
        total += _ARROW
    if piece.get("removal_hole"):
        total += _HOLE
    return total


def _template_corners(piece: Body) -> float:
    corners = _shape_corners(piece["shape"])
    treatment = piece.get("corners", {})
    kinds = {treatment.get("kind")} | {
        each.get("kind") for each in treatment.get("overrides", {}).values()
    }
    # A round corner is an arc, which some formats write as many lines.
    return corners * (8.0 if "round" in kinds else 1.0)


def _shape_corners(shape: Body) -> float:
    if "path" in shape:
        return math.inf
    kind = shape["kind"]
    if kind == "custom":
        return sum(_CURVED / 2 if len(point) > 2 and point[2] else 1.0 for point in shape["points"])  # noqa: PLR2004
    if "rounds" in shape:
        return 12.0 * float(shape["rounds"]) + 6.0
    if kind == "regular_polygon":
        return float(shape.get("sides", _USUAL))
    if kind in _STRAIGHT:
        return _STRAIGHT[kind]
    return _USUAL if kind in _OTHER_STRAIGHT else _CURVED
