"""A quilt plan: a request and its answer."""

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
from service.quilts.wishes import Wish, wish_of
from service.requests.convert.collector import Collector
from service.requests.schemas.pieces import MOST_PIECES, MOST_QUANTITY


def quilt_plan(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a quilt's pieces, materials, picture and the kit that cuts it.

    Raises:
        ProblemError: 422 with every fault of the request.
    """
    read = Collector(data.get("units"))
    wish = wish_of(read, data)
    assembly: Assembly | None = None
    colours: tuple[str, ...] = ()
    if wish is not None:
        with read.going_on(), read.noting(()):
            assembly = _assembled(wish)
        if assembly is not None:
            with read.going_on(), read.noting(("colours",)):
                colours = colours_of(
                    assembly, wish.colours, flower=wish.flower, on_side=wish.on_side
                )
    size = QuiltSize(1.0, 1.0)
    if assembly is not None:
        size = QuiltSize(assembly.bounds.width, assembly.bounds.height)
    finish = finished(read, size, data)
    if wish is None or assembly is None or not colours:
        read.finish()
        raise AssertionError("what was not planned was not told either")
    found = needs(assembly, colours)
    if len(found) > MOST_PIECES:
        detail = (
            f"These colours make {len(found)} kinds of pieces; a kit has at most {MOST_PIECES}. "
            "Use fewer colours."
        )
        read.add(("colours", "names"), detail)
    most = max(need.count for need in found) * wish.kits
    if most > MOST_QUANTITY:
        read.add(
            ("kits",),
            f"All kits together would take {most:,} of one piece; one kit's request asks for at "
            f"most {MOST_QUANTITY:,}. Plan fewer at a time.",
        )
    check_prices(read, wish, data)
    materials = materials_answer(read, wish, found, finish)
    read.finish()
    return _answer(wish, data, assembly, colours, found, materials)


def _assembled(wish: Wish) -> Assembly:
    plane = wish.tiling.draw(wish.sizes)
    if wish.on_side:
        plane = turned(plane)
    return assemble(plane, wish.quilt.width, wish.quilt.length, sides=wish.sides, ends=wish.ends)


def _answer(
    wish: Wish,
    data: Mapping[str, Any],
    assembly: Assembly,
    colours: Sequence[str],
    found: Sequence[Need],
    materials: Mapping[str, Any],
) -> dict[str, Any]:
    ids = piece_ids(len(found))
    # Colours in the order in which the request names them, else as they come.
    counts = {name: 0 for name in wish.colours.names if name in set(colours)}
    for need in found:
        counts[need.colour] = counts.get(need.colour, 0) + need.count
    seams = seams_of(assembly)
    stitches = whipstitches(seams.length, wish.stitches_per_inch)
    box = assembly.bounds
    return {
        "title": wish.title,
        "tiling": wish.tiling.name,
        "quilt": size_answer(wish.quilt),
        "assembled": {"width_mm": box.width, "length_mm": box.height},
        "edge": {
            "sides": _edge(assembly, 0),
            "ends": _edge(assembly, 1),
        },
        "pieces": [
            {
                "id": name,
                "shape": shape_body(need.shape, wish),
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
        **cost_answer(wish, data, materials, len(assembly.placed), stitches),
        "kits": wish.kits,
        "kit": kit_body(wish, found, ids),
        "picture": assembly_picture(assembly, colours, counts),
    }


def _edge(assembly: Assembly, axis: int) -> dict[str, Any]:
    """Return how a pair of edges is made, how deep its dents are and how full they are."""
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
