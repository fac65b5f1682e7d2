"""Guesses, from a request alone, whether its computation is little."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from adapters.registry import BUILT_IN

#: Limits under which a computation takes well under a second, whatever its values are.
MOST_KINDS = 20
MOST_VERTICES = 200
MOST_OUTLINES = 600
MOST_RUNS = 4
#: Vertices of the largest shape of the catalogue that is reckoned without looking at it.
_USUAL_VERTICES = 8


def outlines_are_small(body: Mapping[str, Any]) -> bool:
    """Return whether computing these outlines is little work."""
    return len(body["pieces"]) <= MOST_KINDS and _vertices(body) <= MOST_VERTICES


def kit_is_small(body: Mapping[str, Any]) -> bool:
    """Return whether making this kit is little work."""
    runs = body["runs"]
    return (
        outlines_are_small(body)
        and len(runs) <= MOST_RUNS
        and all(_run_is_small(body, run) for run in runs)
    )


def _vertices(body: Mapping[str, Any]) -> float:
    return sum(_shape_vertices(piece["shape"]) for piece in body["pieces"])


def _shape_vertices(shape: Mapping[str, Any]) -> float:
    if "path" in shape:
        return math.inf
    if "rounds" in shape:
        return 12.0 * float(shape["rounds"]) + 6.0
    if shape["kind"] == "custom":
        return float(len(shape["points"]))
    return float(shape.get("sides", _USUAL_VERTICES))


def _run_is_small(body: Mapping[str, Any], run: Mapping[str, Any]) -> bool:
    wanted = {piece["id"]: piece.get("quantity", 1) for piece in body["pieces"]}
    chosen = run.get("pieces")
    if chosen is not None:
        wanted = {each["id"]: each.get("quantity", wanted.get(each["id"], 1)) for each in chosen}
    per_outline = run.get("layers", 1) * (run.get("reuse", 1) if run["cut"] == "template" else 1)
    # Several kinds on one sheet, or more effort than usual, are searches of unknown length; a
    # plug-in takes as long as it likes.
    return (
        len(wanted) == 1
        and all(name in BUILT_IN for name in run.get("formats", ()))
        and run.get("effort", "normal") in {"quick", "normal"}
        and sum(wanted.values()) / per_outline <= MOST_OUTLINES
    )
