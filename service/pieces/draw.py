"""Draws the pieces of a request: templates and patches from one definition."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import partial

from geometry import units as lengths
from geometry.errors import AllowanceError, GeometryError, GeometryFaults, InternalError
from geometry.hands import mirror_turns
from geometry.model.outline import Outline, Region
from geometry.offset.allowance import make_patch
from geometry.proof.allowance import measure_allowance
from geometry.tolerance import ALLOWANCE_ACCURACY
from service.errors import Change, Cure, Fault, pointer
from service.pieces.known_patches import MeasuredPatch, known_or_drawn
from service.pieces.marks import marked
from service.pieces.model import Allowance, Piece
from service.pieces.plausible_allowance import odd_allowances, require_plausible_allowance
from service.requests.pieces import PieceRequest
from service.schemas.loading import Found, refusal
from service.schemas.units_in_text import in_units


def draw_pieces(requests: Sequence[PieceRequest], units: str | None) -> dict[str, Piece]:
    """Return a request's pieces by id.

    Raises:
        RequestError: with every error of every piece, lengths in these units.
    """
    pieces, found = drawing_errors(requests, units)
    if found:
        raise refusal(found)
    return pieces


def drawing_errors(
    requests: Sequence[PieceRequest | None], units: str | None
) -> tuple[dict[str, Piece], list[Found]]:
    """Return the pieces that can be drawn, by id, and the errors of the others.

    ``None`` stands for a piece that could not be loaded.
    """
    pieces: dict[str, Piece] = {}
    found: list[Found] = []
    for index, request in enumerate(requests):
        if request is None:
            continue
        try:
            pieces[request.id] = draw_piece(request)
        except GeometryError as error:
            of_piece = errors_of(error, units, "pieces", index)
            found += [_with_cure(each, request, index, units) for each in of_piece]
    found += _mirror_errors(requests, pieces)
    return pieces, found


def _with_cure(found: Found, request: PieceRequest, index: int, units: str | None) -> Found:
    """Return an error of a piece; one of an allowance for all edges with the largest that works."""
    largest = found.extra.get("largest_mm") or 0.0
    step = lengths.MM_PER_INCH / 16.0 if units == "in" else 0.1
    value = math.floor(largest / step + 1e-9) * step
    if found.slug != "allowance-too-large" or request.seam_allowance.edges or value <= 0.0:
        return found
    text = lengths.format_length(value, units or "mm")
    change = Change(f"/pieces/{index}/seam_allowance", text)
    cure = Cure(f"Make the seam allowance {text}", (change,))
    return found._replace(fault=found.fault._replace(cure=cure))


def errors_of(error: GeometryError, units: str | None, *where: str | int) -> Iterator[Found]:
    """Yield the errors that geometry found below a place of a request."""
    for each in error.faults if isinstance(error, GeometryFaults) else (error,):
        fault = Fault(pointer(*where, *each.where), in_units(each.message, units))
        if isinstance(each, AllowanceError):
            yield Found(fault, "allowance-too-large", {"largest_mm": each.largest})
        else:
            yield Found(fault)


def draw_piece(request: PieceRequest) -> Piece:
    """Return one piece.

    Raises:
        geometry.errors.GeometryError: when it cannot be drawn; ``where`` is a place of the piece.
    """
    template = _outline(request)
    _check_numbers(request, len(template.vertices))
    patch, allowance, warnings = known_or_drawn(
        template, request.seam_allowance, request.corners, partial(_patch, request, template)
    )
    bare = Piece(
        id=request.id,
        title=request.shape.title,
        size=request.shape.size,
        template=Region(template),
        patch=Region(patch),
        allowance=allowance,
        quantity=request.quantity,
        turns=request.turns,
        mirror=request.mirror,
        mirror_of=request.mirror_of,
        motif=request.motif,
        warnings=warnings,
        request=request,
    )
    return marked(bare, request.marks)


def _outline(request: PieceRequest) -> Outline:
    try:
        return request.shape.outline()
    except GeometryError as error:
        raise _below(error, "shape") from None


def _below(error: GeometryError, *where: str | int) -> GeometryError:
    """Return an error with its full path."""
    if isinstance(error, GeometryFaults):
        return GeometryFaults(tuple(_below(each, *where) for each in error.faults))
    error.where = (*where, *error.where)
    return error


def _check_numbers(request: PieceRequest, corners: int) -> None:
    detail = f"This outline has edges and corners 0 to {corners - 1}."
    faults = tuple(
        GeometryError(detail, where=(*place, str(number)))
        for place, numbers in (
            (("seam_allowance", "edges"), request.seam_allowance.edges),
            (("corners", "overrides"), request.corners.overrides),
        )
        for number in numbers
        if number >= corners
    )
    if faults:
        raise GeometryFaults(faults)


def _patch(request: PieceRequest, template: Outline) -> MeasuredPatch:
    seam_allowance, edges = request.seam_allowance.default, request.seam_allowance.edges
    if request.seam_allowance.is_none:
        nothing = Allowance(0.0, 0.0, 0.0, "no allowance requested: patch equals template", ())
        return template, nothing, ()
    try:
        patch = make_patch(
            template,
            seam_allowance,
            edges=edges,
            corners=request.corners.usual,
            corner_overrides=request.corners.overrides,
        )
        # After what geometry refuses, which names the largest allowance that works.
        require_plausible_allowance(template, request.seam_allowance)
        found = measure_allowance(template, patch.outline, edges=edges)
    except GeometryError as error:
        raise _below(error, "seam_allowance") from None
    if (
        not edges
        and max(seam_allowance - found.min_mm, found.max_mm - seam_allowance) > ALLOWANCE_ACCURACY
    ):
        raise InternalError(
            f"an allowance of {seam_allowance:g} mm measures "
            f"{found.min_mm:.6f} to {found.max_mm:.6f} mm"
        )
    stated = Allowance(
        requested_mm=seam_allowance,
        min_mm=found.min_mm,
        max_mm=found.max_mm,
        method=found.method,
        corners=patch.corners,
        edges=dict(found.edges) if edges else {},
    )
    warnings = (*odd_allowances(template, request.seam_allowance), *patch.warnings)
    return patch.outline, stated, warnings


def _mirror_errors(
    requests: Sequence[PieceRequest | None], pieces: Mapping[str, Piece]
) -> Iterator[Found]:
    """Yield an error for each stated mirror partner that is no mirror image."""
    for index, request in enumerate(requests):
        if request is None:
            continue
        one, other = pieces.get(request.id), pieces.get(request.mirror_of or "")
        if one is None or other is None or mirror_turns(one.template, other.template):
            continue
        detail = (
            f'"{one.id}" is not the mirror image of "{other.id}": their finished outlines, holes '
            "or marks differ. Give both the same shape and size, one with hand right, one left."
        )
        yield Found(Fault(pointer("pieces", index, "mirror_of"), detail))
