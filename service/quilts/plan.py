"""Quilt plans."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.errors import GeometryError
from geometry.planning.assembly import Assembly, count_parts, fullness
from geometry.planning.borders import BorderPart
from geometry.planning.flowers import in_flower, per_flower
from geometry.planning.mirror_images import mirror_images
from geometry.planning.pieces import Need, grouped_pieces
from geometry.planning.seams import Seams, whipstitches
from service.answers.finishing import FinishAnswer
from service.answers.quilt_sizes import AssembledAnswer, EdgeAnswer, EdgesAnswer
from service.answers.quilts import (
    FlowerAnswer,
    PlannedPieceAnswer,
    QuiltPlanAnswer,
    QuiltTotalsAnswer,
    SeamsAnswer,
)
from service.errors import Fault
from service.pieces.draw import errors_of
from service.planning.colours import colours_of
from service.quilts.borders import (
    border_cuts,
    border_needs,
    border_parts,
    borders_answer,
)
from service.quilts.fabric import FoundFabric
from service.quilts.finishing import finished, size_answer
from service.quilts.kit_body import kit_body, piece_ids, shape_body
from service.quilts.materials import Materials, cost_answer, materials_answer, time_answer
from service.quilts.materials_quote import materials_quote
from service.quilts.picture import HandPair, assembly_picture
from service.quilts.progress import PlanProgress
from service.quilts.top import (
    QuiltTop,
    edge_warnings,
    nearest_answer,
    quilt_top,
    size_warnings,
)
from service.quilts.top_sketch import DrawnTop, drawn_top
from service.requests.pieces import MAX_PIECES, MAX_QUANTITY
from service.requests.quilt_size import QuiltSize
from service.requests.quilt_spec import QuiltSpec
from service.requests.runs import MAX_RUNS
from service.schemas.loading import Found, refusal


@dataclass(frozen=True)
class PlannedQuilt:
    """A plan as the answer states it, and how each of its fabrics is cut, and its drawing."""

    answer: QuiltPlanAnswer
    fabrics: Sequence[FoundFabric]
    drawn: DrawnTop


def quilt_plan(spec: QuiltSpec, *, progress: PlanProgress | None = None) -> QuiltPlanAnswer:
    """Return a quilt's pieces, materials, picture and kit request, as the answer states them.

    Raises:
        RequestError: with every error of the request.
    """
    return planned(spec, progress=progress).answer


def planned(spec: QuiltSpec, *, progress: PlanProgress | None = None) -> PlannedQuilt:
    """Return a quilt's pieces, materials, picture and kit request, and how each fabric is cut.

    Raises:
        RequestError: with every error of the request.
    """
    errors: list[Found] = []
    top: QuiltTop | None = None
    colours: tuple[str, ...] = ()
    try:
        top = quilt_top(spec)
    except GeometryError as error:
        errors += errors_of(error, spec.units)
    else:
        try:
            colours = colours_of(
                top.assembly, spec.colours, flower=spec.flower, on_side=spec.on_side
            )
        except GeometryError as error:
            errors += errors_of(error, spec.units, "colours")
    finish: FinishAnswer | None = None
    try:
        outside = None if top is None else top.outside
        finish = finished(_size(top), spec.finishing, outside)
    except GeometryError as error:
        errors += errors_of(error, spec.units)
    if top is None or not colours:
        raise refusal(errors)
    grouped = grouped_pieces(top.assembly, colours, grain=spec.grain)
    found = (*grouped.needs, *border_needs(top.borders, spec.grain))
    errors += _too_many(spec, found)
    materials: Materials | None = None
    try:
        strips = border_cuts(spec, top.borders)
        materials = materials_answer(spec, found, finish, strips, progress)
    except GeometryError as error:
        errors += errors_of(error, spec.units)
    if errors or materials is None:
        raise refusal(errors)
    drawn = drawn_top(top, colours, grouped, found)
    answer = _answer(spec, top, found, materials, drawn)
    return PlannedQuilt(answer, materials.fabrics, drawn)


def _size(top: QuiltTop | None) -> QuiltSize:
    """Return the size to finish; settings are checked even if there is none."""
    if top is None:
        return QuiltSize(1.0, 1.0)
    return QuiltSize(top.bounds.width, top.bounds.height)


def _too_many(spec: QuiltSpec, found: Sequence[Need]) -> Iterator[Found]:
    """Yield errors of a quilt of more kinds, or more pieces of one, than a kit may have."""
    if len(found) > MAX_PIECES:
        detail = (
            f"These colours make {len(found)} kinds of pieces; a kit has at most {MAX_PIECES}. "
            "Use fewer colours."
        )
        yield Found(Fault("#/colours/names", detail))
    colours = len({need.colour for need in found})
    if colours >= MAX_RUNS:
        detail = (
            f"This quilt has pieces of {colours} colours; a kit has at most {MAX_RUNS - 1}, each a "
            "run. Use fewer colours."
        )
        yield Found(Fault("#/colours/names", detail))
    most = max(need.count for need in found) * spec.kits
    if most > MAX_QUANTITY:
        detail = (
            f"All kits together would need {most:,} of one piece; the limit of a kit's request "
            f"is {MAX_QUANTITY:,}. Plan fewer at a time."
        )
        yield Found(Fault("#/kits", detail))


def _answer(
    spec: QuiltSpec,
    top: QuiltTop,
    found: Sequence[Need],
    materials: Materials,
    drawn: DrawnTop,
) -> QuiltPlanAnswer:
    ids = piece_ids(len(found))
    assembly, box = top.assembly, top.bounds
    parts = list(border_parts(top.borders))
    counts = _colour_counts(spec, top, found, parts)
    seams = _with_borders(top.seams, top)
    stitches = whipstitches(seams.length, spec.stitches_per_inch)
    pieces = len(assembly.placed) + len(parts)
    parted = count_parts(assembly)
    mirrored = [None if index is None else ids[index] for index in mirror_images(found)]
    return QuiltPlanAnswer(
        title=spec.title,
        tiling=spec.tiling.name,
        counts=dict(top.counts),
        flower=_flower(spec),
        quilt=size_answer(spec.quilt),
        assembled=AssembledAnswer(width_mm=box.width, length_mm=box.height),
        top=AssembledAnswer(width_mm=assembly.bounds.width, length_mm=assembly.bounds.height),
        nearest_sizes=nearest_answer(top),
        edge=EdgesAnswer(sides=_edge(assembly, 0), ends=_edge(assembly, 1)),
        pieces=[_piece(spec, *each) for each in zip(ids, found, mirrored, strict=True)],
        borders=borders_answer(spec, top.borders),
        totals=QuiltTotalsAnswer(
            pieces=pieces,
            whole=parted["whole"],
            half=parted["half"],
            trimmed=parted["trimmed"],
            border=len(parts),
        ),
        colours=counts,
        seams=_seams(seams, stitches),
        materials=materials.answer,
        cost=cost_answer(spec, materials.answer),
        quote=materials_quote(spec, materials.answer),
        # Border strips have no paper to be basted on.
        time=time_answer(spec, len(assembly.placed), stitches),
        kits=spec.kits,
        kit=kit_body(spec, found, ids),
        picture=assembly_picture(drawn, counts, _hands(ids, found, mirrored)),
        warnings=[*size_warnings(spec, top), *edge_warnings(spec, top), *materials.warnings],
    )


def _piece(spec: QuiltSpec, name: str, need: Need, mirror_of: str | None) -> PlannedPieceAnswer:
    return PlannedPieceAnswer(
        id=name,
        shape=shape_body(need.shape, spec),
        quantity=need.count,
        part=need.part,
        colour=need.colour,
        share=round(need.share, 6),
        mirror_of=mirror_of,
    )


def _hands(
    ids: Sequence[str], found: Sequence[Need], mirrored: Sequence[str | None]
) -> dict[str, list[HandPair]]:
    """Return the pieces of each colour that are cut in both hands, with their counts."""
    counts = {name: need.count for name, need in zip(ids, found, strict=True)}
    pairs: dict[str, list[HandPair]] = {}
    for name, need, other in zip(ids, found, mirrored, strict=True):
        if other is not None:
            pair = HandPair(other, counts[other], name, need.count)
            pairs.setdefault(need.colour, []).append(pair)
    return pairs


def _flower(spec: QuiltSpec) -> FlowerAnswer | None:
    """Return how many hexagons a flower has, where the tiling is one of flowers."""
    if spec.flower is None:
        return None
    rounds, path = spec.flower.rounds, spec.flower.path
    return FlowerAnswer(pieces=in_flower(rounds), pieces_with_path=per_flower(rounds, path))


def _colour_counts(
    spec: QuiltSpec,
    top: QuiltTop,
    found: Sequence[Need],
    parts: Sequence[BorderPart],
) -> dict[str, int]:
    """Return pieces by colour, in the order of the request, otherwise of the tiling's places."""
    known = (*spec.colours.names, *(proto.role for proto in top.assembly.plane.protos))
    used = {need.colour for need in found}
    counts = {name: 0 for name in known if name in used}
    for need in found:
        counts[need.colour] = counts.get(need.colour, 0) + need.count
    for part in parts:
        if part.is_strip:
            counts[part.colour] = counts.get(part.colour, 0) + 1
    return counts


def _with_borders(seams: Seams, top: QuiltTop) -> Seams:
    """Return the seams of the whole quilt: the top's outer edges are sewn to its borders."""
    if not top.borders:
        return seams
    box = top.bounds
    return Seams(
        length=seams.length + sum(each.seam_length for each in top.borders),
        count=seams.count + sum(each.seam_count for each in top.borders),
        outside=2.0 * (box.width + box.height),
    )


def _edge(assembly: Assembly, axis: int) -> EdgeAnswer:
    """Return the method of a pair of edges, the depth of its dents and its share of cloth."""
    plane = assembly.plane
    frame, teeth = (
        (assembly.along, plane.along.teeth) if axis else (assembly.across, plane.across.teeth)
    )
    ragged = frame.edge == "whole" and not math.isclose(teeth, 0.0)
    return EdgeAnswer(
        edge=frame.edge,
        count=frame.count,
        straight=not ragged,
        dents_mm=teeth if ragged else 0.0,
        fullness=round(fullness(plane, frame, axis), 6),
    )


def _seams(seams: Seams, stitches: int) -> SeamsAnswer:
    return SeamsAnswer(
        length_mm=seams.length,
        count=seams.count,
        outside_mm=seams.outside,
        stitches=stitches,
    )
