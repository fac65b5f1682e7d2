"""A request's pieces: shapes at their sizes, templates and patches from one definition."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from geometry import units as lengths
from geometry.errors import AllowanceError, GeometryError, InternalError
from geometry.model.outline import Outline, Region
from geometry.offset.allowance import Corners, make_patch
from geometry.proof.allowance import measure_allowance
from geometry.shapes import custom
from geometry.shapes.catalogue import CATALOGUE, build
from geometry.tolerance import ALLOWANCE_ACCURACY
from service.requests.convert.collector import Collector, Path, Unread
from service.requests.convert.marks import marked, wishes_of
from service.requests.convert.values import Allowance, Piece, Turns

#: Corner treatment where a piece states none: mitre, blunt past four times the allowance.
USUAL_CORNERS = Corners()


def piece_of(read: Collector, data: Mapping[str, Any], path: Path) -> Piece:
    """Return one piece of a request.

    Raises:
        Unread: when a value cannot be used; every fault of the piece is noted first.
    """
    template: Outline | None = None
    asked: tuple[float, dict[int, float]] | None = None
    with read.going_on():
        template = outline_of(read, data["shape"], (*path, "shape"))
    with read.going_on():
        asked = _seam_allowance(read, data.get("seam_allowance", 0), (*path, "seam_allowance"))
    corners, overrides = _corners(read, data.get("corners"), (*path, "corners"))
    if template is None or asked is None:
        raise Unread
    allowance, edges = asked
    for name, indices in (("seam_allowance/edges", edges), ("corners/overrides", overrides)):
        for index in indices:
            if index >= len(template.vertices):
                read.add(
                    (*path, *name.split("/"), index),
                    f"This outline has edges and corners 0 to {len(template.vertices) - 1}.",
                )
                raise Unread
    patch, result, warnings = _patch(read, template, allowance, edges, corners, overrides, path)
    bare = Piece(
        id=data["id"],
        title=_title(data["shape"]),
        size=_size(data["shape"], read.units),
        template=Region(template),
        patch=Region(patch),
        allowance=result,
        quantity=data.get("quantity", 1),
        turns=turns_of(data.get("grain", "free")),
        mirror=bool(data.get("mirror", False)),
        mirror_of=data.get("mirror_of"),
        warnings=warnings,
        source={**data, "units": read.units},
    )
    with read.noting(path):
        return marked(bare, wishes_of(data))


def outline_of(read: Collector, data: Mapping[str, Any], path: Path) -> Outline:
    """Return the template outline that a ``shape`` object describes.

    Raises:
        Unread: when its parameters do not make that shape.
    """
    if data["kind"] == "custom":
        return _custom(read, data, path)
    values: dict[str, float | int | str] = {}
    unread = False
    for parameter in CATALOGUE[data["kind"]].parameters:
        if data.get(parameter.name) is None:
            continue
        value = data[parameter.name]
        if parameter.what == "length":
            try:
                value = read.length(value, (*path, parameter.name), inclusive=False)
            except Unread:
                unread = True
                continue
        values[parameter.name] = value
    if unread:
        raise Unread
    with read.noting(path):
        return build(data["kind"], values)


def _custom(read: Collector, data: Mapping[str, Any], path: Path) -> Outline:
    if read.units is None:
        read.add(path, 'A custom outline needs the request\'s "units" ("in", "mm" or "cm").')
        raise Unread
    scale = lengths.UNIT_MM[read.units]
    with read.noting(path):
        if "path" in data:
            return custom.from_path(data["path"], scale=scale)
        rows = [(row[0] * scale, row[1] * scale, *row[2:]) for row in data["points"]]
        return custom.from_points(rows)


def _seam_allowance(read: Collector, value: object, path: Path) -> tuple[float, dict[int, float]]:
    """Return the allowance all round and those of single edges, mm."""
    if not isinstance(value, Mapping):
        return read.length(value, path), {}
    usual = read.length(value.get("default", 0), (*path, "default"))
    edges: dict[int, float] = {}
    for index, wide in sorted((value.get("edges") or {}).items(), key=lambda item: int(item[0])):
        edges[int(index)] = read.length(wide, (*path, "edges", index))
    return usual, edges


def _corners(
    read: Collector, value: Mapping[str, Any] | None, path: Path
) -> tuple[Corners, dict[int, Corners]]:
    if value is None:
        return USUAL_CORNERS, {}
    usual = _corner(value)
    overrides = {
        int(index): _corner(each) for index, each in sorted((value.get("overrides") or {}).items())
    }
    if usual.limit < 1.0:
        read.add((*path, "limit"), "A mitre reaches at least 1 times the allowance.")
    return usual, overrides


def _corner(value: Mapping[str, Any]) -> Corners:
    return Corners(kind=value.get("kind", "mitre"), limit=float(value.get("limit", 4.0)))


def _patch(
    read: Collector,
    template: Outline,
    allowance: float,
    edges: Mapping[int, float],
    corners: Corners,
    overrides: Mapping[int, Corners],
    path: Path,
) -> tuple[Outline, Allowance, tuple[str, ...]]:
    if allowance == 0.0 and not any(edges.values()):
        nothing = Allowance(0.0, 0.0, 0.0, "no allowance asked: patch equals template", ())
        return template, nothing, ()
    where = (*path, "seam_allowance")
    try:
        patch = make_patch(
            template, allowance, edges=edges, corners=corners, corner_overrides=overrides
        )
        found = measure_allowance(template, patch.outline, edges=edges)
    except AllowanceError as error:
        read.add_refusal("allowance-too-large", where, error.message, largest_mm=error.largest)
        raise Unread from None
    except GeometryError as error:
        read.add((*where, *error.where), error.message)
        raise Unread from None
    if not edges and max(allowance - found.least, found.most - allowance) > ALLOWANCE_ACCURACY:
        raise InternalError(
            f"an allowance of {allowance:g} mm measures {found.least:.6f} to {found.most:.6f} mm"
        )
    stated = Allowance(
        asked=allowance,
        least=found.least,
        most=found.most,
        method=found.method,
        corners=patch.corners,
        edges=dict(found.edges) if edges else {},
    )
    return patch.outline, stated, patch.warnings


def turns_of(value: str | list[float]) -> Turns:
    """Return the turns that a piece's grain allows."""
    return value if isinstance(value, str) else tuple(float(angle) % 360.0 for angle in value)


def _title(shape: Mapping[str, Any]) -> str:
    return "custom outline" if shape["kind"] == "custom" else CATALOGUE[shape["kind"]].title


def _size(shape: Mapping[str, Any], units: str | None) -> str:
    """Return the shape's size as the request wrote it, for labels; bare numbers get their unit."""
    if shape["kind"] == "custom":
        return ""
    told = []
    for parameter in CATALOGUE[shape["kind"]].parameters:
        value = shape.get(parameter.name)
        if value is not None:
            # A computed size has more digits than anyone reads.
            computed = isinstance(value, float)
            text = lengths.format_decimal(value, 6) if computed else str(value).strip()
            bare = parameter.what == "length" and text[-1:].isdigit()
            name = parameter.name.removesuffix("_deg").replace("_", " ")
            told.append(f"{name} {text} {units}" if bare else f"{name} {text}")
    return ", ".join(told)
