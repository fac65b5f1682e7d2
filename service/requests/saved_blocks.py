"""Requests that name a saved block: a copy of the block takes the place of its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

from geometry.errors import GeometryError
from geometry.units import UNIT_MM, parse_length

#: Gives a saved block by name: its ``drawing``, and its ``block`` for quilt plans; ``None`` when
#: there is no such block.
BlockSource: TypeAlias = Callable[[str], Mapping[str, Any] | None]
#: A drawing's members that are lengths.
_LENGTHS = ("finished_width", "snap_tolerance", "seam_allowance", "outer_allowance")
_SIGNIFICANT = 15


def with_saved_block(document: Any, member: str, source: BlockSource) -> Any:  # noqa: ANN401 - JSON values
    """Return a request's JSON with the block that it names written out.

    A name of no block stays, and is an error where the request is loaded.

    Args:
        document: JSON values.
        member: what takes the place of the name: the ``drawing`` of a drawn block, or the
            ``block`` of a quilt plan.
        source: gives saved blocks.
    """
    block = document.get("block") if isinstance(document, dict) else None
    if member == "drawing" and isinstance(block, str) and "paths" not in document:
        found = source(block)
        return document if found is None else _with_drawing(document, found["drawing"])
    if member == "block" and isinstance(block, dict) and "pieces" not in block:
        found = source(block["name"]) if isinstance(block.get("name"), str) else None
        if found is not None and found["block"] is not None:
            return _with_plan_block(document, block, found)
    return document


def _with_drawing(document: Mapping[str, Any], drawing: Mapping[str, Any]) -> dict[str, Any]:
    """Return a saved drawing, with those members that the request states itself."""
    stated = {name: value for name, value in document.items() if name != "block"}
    units = stated.get("units")
    if isinstance(units, str) and units in UNIT_MM and "units" in drawing:
        drawing = _in_units(drawing, units)
    return {**drawing, **stated}


def _in_units(drawing: Mapping[str, Any], units: str) -> dict[str, Any]:
    """Return a drawing with its points in other units."""
    own = drawing["units"]
    if own == units:
        return dict(drawing)
    scale = UNIT_MM[own] / UNIT_MM[units]
    changed: dict[str, Any] = {
        name: f"{parse_length(drawing[name], own):.{_SIGNIFICANT}g} mm"
        for name in _LENGTHS
        if name in drawing
    }
    paths = [{**path, "points": _scaled(path["points"], scale)} for path in drawing["paths"]]
    return {**drawing, **changed, "units": units, "paths": paths}


def _with_plan_block(
    document: dict[str, Any], stated: Mapping[str, Any], found: Mapping[str, Any]
) -> dict[str, Any]:
    """Return a quilt plan with the pieces of a saved block, as large as it states."""
    block, own = found["block"], found["drawing"].get("units", "mm")
    written = {name: value for name, value in stated.items() if name != "name"}
    units = stated.get("units", document.get("units"))
    units = units if isinstance(units, str) and units in UNIT_MM else None
    scale = 1.0
    try:
        size_mm = parse_length(stated.get("size"), units)
    except (GeometryError, TypeError):
        # An error where the request is loaded; the pieces do not matter then.
        pass
    else:
        # In the request's units, in which its errors are worded; the block's own where it has none.
        units = units or own
        written.setdefault("units", units)
        scale = size_mm / UNIT_MM[units] / block["size"]
    pieces = [{**piece, "points": _scaled(piece["points"], scale)} for piece in block["pieces"]]
    return {**document, "block": {**written, "pieces": pieces}}


def _scaled(rows: list[list[float]], scale: float) -> list[list[float]]:
    return [[row[0] * scale, row[1] * scale, *row[2:]] for row in rows]
