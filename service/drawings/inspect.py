"""Inspection: reads and measures an untrusted drawing, and returns the answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from geometry.errors import GeometryError
from geometry.inspection import Inspection, MeasuredOutline, inspect
from geometry.inspection.allowances import DrawnAllowance
from geometry.measure import area, perimeter, sharp_angles_deg
from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline
from geometry.model.points import distance
from geometry.validate import require_simple
from service.answers.inspections import (
    DuplicateLine,
    FoundAllowance,
    InspectedOutline,
    InspectionAnswer,
    NearestAnswer,
    OpenLine,
    SkippedElement,
)
from service.drawings.drawing import JOINED, Drawing, DrawingError, Path, joining_notes
from service.drawings.files import read_file
from service.errors import DrawingRefusedError, Fault
from service.requests.cutters import saved_cutter
from service.requests.inspections import InspectionRequest
from service.requests.sheets import reach_on

#: Ends of a path within this distance, mm, were probably meant to meet.
_NEARLY = 1.0
#: Maximum outlines for the comparison of all pairs.
MAX_OUTLINES = 300


def inspect_file(
    data: bytes, request: InspectionRequest, cutter: Mapping[str, Any] | None
) -> InspectionAnswer:
    """Return the answer to an inspection.

    Args:
        data: the file.
        request: how it is read.
        cutter: saved cutter whose work area the outlines should fit.

    Raises:
        DrawingRefusedError: when the drawing cannot be used.
    """
    try:
        drawing = read_file(data, request)
    except DrawingError as error:
        detail = str(error)
        raise DrawingRefusedError(detail, [Fault("#/file", detail)]) from None
    paths = chosen_paths(drawing, request.group)
    outlines, names, notes = _outlines(paths)
    room = _room(cutter) if cutter is not None else None
    open_ends = [path for path in paths if not path.closed]
    found = inspect(outlines, [Chain(path.vertices) for path in open_ends], room=room)
    return InspectionAnswer(
        format=drawing.format,
        tolerance_mm=request.tolerance_mm,
        join_tolerance_mm=JOINED,
        outlines=[_outline(each, path) for each, path in zip(found.outlines, names, strict=True)],
        groups=[list(group) for group in found.groups],
        allowances=[_allowance(each) for each in found.allowances],
        overlaps=[list(pair) for pair in found.overlaps],
        duplicate_lines=_duplicates(found),
        open_paths=[_open_line(path) for path in open_ends],
        skipped=[
            SkippedElement(element=each.element, count=each.count) for each in drawing.skipped
        ],
        warnings=[
            *_nothing_found(drawing),
            *drawing.notes,
            *joining_notes(paths),
            *notes,
            *_nearly_closed(open_ends),
            *_crossing_notes(found.crossing_places),
            *found.warnings,
        ],
    )


def _allowance(found: DrawnAllowance) -> FoundAllowance:
    return FoundAllowance(
        template=found.template,
        patch=found.patch,
        nested=found.nested,
        min_mm=found.min_mm,
        max_mm=found.max_mm,
    )


def _open_line(path: Path) -> OpenLine:
    return OpenLine(
        group=path.group,
        name=path.name,
        start=list(path.vertices[0].point),
        end=list(path.vertices[-1].point),
    )


def _nothing_found(drawing: Drawing) -> list[str]:
    """Return a warning about a file in which nothing is drawn, with the reason."""
    if drawing.paths:
        return []
    if not drawing.skipped:
        return ["Nothing was found: the file holds no lines, arcs or curves."]
    kinds = ", ".join(each.element for each in drawing.skipped)
    return [f"Nothing was found: the file holds only what is left out ({kinds})."]


def chosen_paths(drawing: Drawing, group: str) -> Sequence[Path]:
    """Return the paths of a layer, group or id; all for an empty name.

    Raises:
        DrawingRefusedError: when there are none.
    """
    if not group:
        return drawing.paths
    found = [path for path in drawing.paths if group in {path.group, path.name}]
    if not found:
        known = sorted({path.group for path in drawing.paths} | {p.name for p in drawing.paths})
        shown = ", ".join(name for name in known[:30] if name) or "none has a name"
        detail = f'Nothing drawn is in a layer, group or id "{group[:60]}". There are: {shown}.'
        raise DrawingRefusedError(detail, [Fault("#/group", detail)])
    return found


def _outlines(paths: Sequence[Path]) -> tuple[list[Outline], list[Path], list[str]]:
    """Return the closed outlines that can be cut, largest first, and notes about the others."""
    kept: list[tuple[Outline, Path]] = []
    notes: list[str] = []
    for path in paths:
        if not path.closed:
            continue
        try:
            kept.append((require_simple(Outline(path.vertices)), path))
        except GeometryError as error:
            name = path.name or path.group or "an outline"
            notes.append(f"{name[:40]} cannot be cut: {error.message[:200]}")
    if len(kept) > MAX_OUTLINES:
        detail = f"A drawing has at most {MAX_OUTLINES} closed outlines; choose a layer or id."
        raise DrawingRefusedError(detail, [Fault("#/file", detail)])
    kept.sort(key=lambda pair: -area(pair[0]))
    return [outline for outline, _ in kept], [path for _, path in kept], notes[:50]


def _room(cutter: Mapping[str, Any]) -> WorkArea:
    return reach_on(saved_cutter(cutter).cutter)[0]


def _nearly_closed(open_ends: Sequence[Path]) -> list[str]:
    """Return a note for each path whose ends almost meet, as it was probably meant to be closed."""
    notes = []
    for path in open_ends:
        gap = distance(path.vertices[0].point, path.vertices[-1].point)
        if len(path.vertices) > 2 and gap <= _NEARLY:  # noqa: PLR2004 - a line has two ends
            name = path.name or path.group or "A path"
            notes.append(f"{name[:40]} is open: its ends are {gap:.3f} mm apart. Close it.")
    return notes[:20]


def _crossing_notes(count: int) -> list[str]:
    """Return a note if lines cross, because regions between them are not read as pieces."""
    if not count:
        return []
    places = "1 place" if count == 1 else f"{count} places"
    text = (
        f"Lines cross or meet at {places}: the regions between them are not read as pieces. Draw "
        "each piece as a separate closed outline, or send the drawing to /v1/blocks, which finds "
        "the pieces between lines."
    )
    return [text]


def _duplicates(found: Inspection) -> list[DuplicateLine]:
    """Return the duplicate lines; open paths are counted by themselves."""
    count = len(found.outlines)
    return [
        DuplicateLine(
            outlines=[index for index in pair if index < count],
            open_paths=[index - count for index in pair if index >= count],
            length_mm=length,
        )
        for *pair, length in found.duplicate_lines
    ]


def _outline(found: MeasuredOutline, path: Path) -> InspectedOutline:
    outline, nearest = found.outline, found.nearest
    return InspectedOutline(
        group=path.group,
        name=path.name,
        # In the form of a custom shape of a kit in mm.
        points=outline.rows(),
        width_mm=outline.bounds.width,
        height_mm=outline.bounds.height,
        area_mm2=area(outline),
        perimeter_mm=perimeter(outline),
        corner_angles_deg=sharp_angles_deg(outline),
        inside=found.inside,
        fits=found.fits,
        nearest=None
        if nearest is None
        else NearestAnswer(
            kind=nearest.kind,
            parameter=nearest.parameter,
            size_mm=nearest.size,
            difference=nearest.off,
        ),
    )
