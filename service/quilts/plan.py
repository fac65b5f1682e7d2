"""Quilt plans."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from geometry.planning.assembly import Assembly, assemble, count_parts, fullness, turned
from geometry.planning.colours import colours_of
from geometry.planning.pieces import Need, needs
from geometry.planning.seams import Seams, seams_of, whipstitches
from service.quilts.finishing import finished, size_answer
from service.quilts.kit_body import kit_body, piece_ids, shape_body
from service.quilts.materials import check_prices, cost_answer, materials_answer
from service.quilts.picture import assembly_picture
from service.quilts.settings import QuiltSize
from service.quilts.spec import QuiltSpec, read_spec
from service.requests.convert.collector import Collector
from service.requests.schemas.pieces import MOST_PIECES, MOST_QUANTITY


def quilt_plan(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a quilt's pieces, materials, picture and kit request.

    Raises:
        ProblemError: 422 with all errors of the request.
    """
    read = Collector(data.get("units"))
    spec = read_spec(read, data)
    assembly: Assembly | None = None
    colours: tuple[str, ...] = ()
    if spec is not None:
        with read.going_on(), read.noting(()):
            assembly = _assembled(spec)
        if assembly is not None:
            with read.going_on(), read.noting(("colours",)):
                colours = colours_of(
                    assembly, spec.colours, flower=spec.flower, on_side=spec.on_side
                )
    size = QuiltSize(1.0, 1.0)
    if assembly is not None:
        size = QuiltSize(assembly.bounds.width, assembly.bounds.height)
    finish = finished(read, size, data)
    if spec is None or assembly is None or not colours:
        read.finish()
        raise AssertionError("no plan and no error")
    found = needs(assembly, colours)
    if len(found) > MOST_PIECES:
        detail = (
            f"These colours make {len(found)} kinds of pieces; a kit has at most {MOST_PIECES}. "
            "Use fewer colours."
        )
        read.add(("colours", "names"), detail)
    most = max(need.count for need in found) * spec.kits
    if most > MOST_QUANTITY:
        read.add(
            ("kits",),
            f"All kits together would need {most:,} of one piece; the limit of a kit's request "
            f"is {MOST_QUANTITY:,}. Plan fewer at a time.",
        )
    check_prices(read, spec, data)
    materials = materials_answer(read, spec, found, finish)
    read.finish()
    return _answer(spec, data, assembly, colours, found, materials)


def _assembled(spec: QuiltSpec) -> Assembly:
    plane = spec.tiling.draw(spec.sizes)
    if spec.on_side:
        plane = turned(plane)
    return assemble(plane, spec.quilt.width, spec.quilt.length, sides=spec.sides, ends=spec.ends)


def _answer(
    spec: QuiltSpec,
    data: Mapping[str, Any],
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
        **cost_answer(spec, data, materials, len(assembly.placed), stitches),
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
