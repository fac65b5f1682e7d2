"""Quilt plans."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from geometry.errors import GeometryError
from geometry.planning.assembly import Assembly, assemble, count_parts, fullness, turned
from geometry.planning.pieces import Need, needs
from geometry.planning.seams import Seams, seams_of, whipstitches
from service.errors import Fault
from service.pieces.draw import errors_of
from service.planning.colours import colours_of
from service.quilts.finishing import finished, size_answer
from service.quilts.kit_body import kit_body, piece_ids, shape_body
from service.quilts.materials import cost_answer, materials_answer
from service.quilts.picture import assembly_picture
from service.requests.pieces import MAX_PIECES, MAX_QUANTITY
from service.requests.quilt_plans import QuiltSpec
from service.requests.quilt_size import QuiltSize
from service.schemas.loading import Found, refusal


def quilt_plan(spec: QuiltSpec) -> dict[str, Any]:
    """Return a quilt's pieces, materials, picture and kit request.

    Raises:
        RequestError: with every error of the request.
    """
    errors: list[Found] = []
    assembly: Assembly | None = None
    colours: tuple[str, ...] = ()
    try:
        assembly = _assembled(spec)
    except GeometryError as error:
        errors += errors_of(error, spec.units)
    else:
        try:
            colours = colours_of(assembly, spec.colours, flower=spec.flower, on_side=spec.on_side)
        except GeometryError as error:
            errors += errors_of(error, spec.units, "colours")
    try:
        finish = finished(_size(assembly), spec.finishing)
    except GeometryError as error:
        errors += errors_of(error, spec.units)
        finish = {}
    if assembly is None or not colours:
        raise refusal(errors)
    found = needs(assembly, colours)
    errors += _too_many(spec, found)
    materials: Mapping[str, Any] = {}
    try:
        materials = materials_answer(spec, found, finish)
    except GeometryError as error:
        errors += errors_of(error, spec.units)
    if errors:
        raise refusal(errors)
    return _answer(spec, assembly, colours, found, materials)


def _size(assembly: Assembly | None) -> QuiltSize:
    """Return the size to finish; settings are checked even if there is none."""
    if assembly is None:
        return QuiltSize(1.0, 1.0)
    return QuiltSize(assembly.bounds.width, assembly.bounds.height)


def _too_many(spec: QuiltSpec, found: Sequence[Need]) -> Iterator[Found]:
    """Yield errors of a quilt of more kinds, or more pieces of one, than a kit may have."""
    if len(found) > MAX_PIECES:
        detail = (
            f"These colours make {len(found)} kinds of pieces; a kit has at most {MAX_PIECES}. "
            "Use fewer colours."
        )
        yield Found(Fault("#/colours/names", detail))
    most = max(need.count for need in found) * spec.kits
    if most > MAX_QUANTITY:
        detail = (
            f"All kits together would need {most:,} of one piece; the limit of a kit's request "
            f"is {MAX_QUANTITY:,}. Plan fewer at a time."
        )
        yield Found(Fault("#/kits", detail))


def _assembled(spec: QuiltSpec) -> Assembly:
    plane = spec.tiling.draw(spec.sizes)
    if spec.on_side:
        plane = turned(plane)
    return assemble(plane, spec.quilt.width, spec.quilt.length, sides=spec.sides, ends=spec.ends)


def _answer(
    spec: QuiltSpec,
    assembly: Assembly,
    colours: Sequence[str],
    found: Sequence[Need],
    materials: Mapping[str, Any],
) -> dict[str, Any]:
    ids = piece_ids(len(found))
    # Colours in the order of the request, otherwise of appearance.
    counts = {name: 0 for name in spec.colours.names if name in set(colours)}
    for need in found:
        counts[need.colour] = counts.get(need.colour, 0) + need.count
    seams = seams_of(assembly)
    stitches = whipstitches(seams.length, spec.stitches_per_inch)
    box = assembly.bounds
    return {
        "title": spec.title,
        "tiling": spec.tiling.name,
        "quilt": size_answer(spec.quilt),
        "assembled": {"width_mm": box.width, "length_mm": box.height},
        "edge": {
            "sides": _edge(assembly, 0),
            "ends": _edge(assembly, 1),
        },
        "pieces": [
            {
                "id": name,
                "shape": shape_body(need.shape, spec),
                "count": need.count,
                "part": need.part,
                "colour": need.colour,
                "share": round(need.share, 6),
            }
            for name, need in zip(ids, found, strict=True)
        ],
        "totals": {"pieces": len(assembly.placed), **count_parts(assembly)},
        "colours": counts,
        "seams": _seams(seams, stitches),
        "materials": dict(materials),
        **cost_answer(spec, materials, len(assembly.placed), stitches),
        "kits": spec.kits,
        "kit": kit_body(spec, found, ids),
        "picture": assembly_picture(assembly, colours, counts),
    }


def _edge(assembly: Assembly, axis: int) -> dict[str, Any]:
    """Return the method of a pair of edges, the depth of its dents and its share of cloth."""
    plane = assembly.plane
    frame, teeth = (
        (assembly.along, plane.along.teeth) if axis else (assembly.across, plane.across.teeth)
    )
    ragged = frame.edge == "whole" and not math.isclose(teeth, 0.0)
    return {
        "edge": frame.edge,
        "count": frame.count,
        "straight": not ragged,
        "dents_mm": teeth if ragged else 0.0,
        "fullness": round(fullness(plane, frame, axis), 6),
    }


def _seams(seams: Seams, stitches: int) -> dict[str, Any]:
    return {
        "length_mm": seams.length,
        "count": seams.count,
        "outside_mm": seams.outside,
        "stitches": stitches,
    }
