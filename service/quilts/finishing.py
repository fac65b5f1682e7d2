"""Finishing: backing, batting and binding."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from geometry.planning import finishing as formulae
from geometry.planning.yardage import Fabric
from geometry.units import MM_PER_INCH as INCH
from service.quilts.settings import (
    USUAL_WIDTH,
    QuiltSize,
    length_text,
    quilt_size,
    step_of,
)
from service.requests.convert.collector import Collector, Path, Unread

_EXTRA_EACH_SIDE = 4.0 * INCH
_STRIP, _EXTRA = 2.5 * INCH, 10.0 * INCH


def finishing(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return binding, backing and batting for a quilt.

    Raises:
        ProblemError: 422 with all errors of the request.
    """
    read = Collector(data.get("units"))
    size: QuiltSize | None = None
    answer: dict[str, Any] = {}
    with read.going_on():
        size = quilt_size(read, data["quilt"], ("quilt",))
    # Errors of the settings are reported even if the quilt's size is invalid.
    answer = finished(read, size or QuiltSize(INCH, INCH), data)
    read.finish()
    if size is None:
        raise AssertionError("an invalid quilt without an error")
    return {"quilt": size_answer(size), **answer}


def size_answer(size: QuiltSize) -> dict[str, Any]:
    """Return the answer for a quilt's size."""
    answer: dict[str, Any] = {"width_mm": size.width, "length_mm": size.length}
    return answer | ({"bed": dict(size.bed)} if size.bed is not None else {})


def finished(read: Collector, size: QuiltSize, data: Mapping[str, Any]) -> dict[str, Any]:
    """Return binding, backing and batting for a quilt; collect errors and leave those parts out."""
    answer: dict[str, Any] = {}
    for name, make in (("binding", _binding), ("backing", _backing), ("batting", _batting)):
        with read.going_on():
            answer[name] = make(read, size, data.get(name) or {}, (name,))
    return answer


def _width(read: Collector, data: Mapping[str, Any], path: Path) -> float:
    if "usable_width" not in data:
        return USUAL_WIDTH
    return read.length(data["usable_width"], (*path, "usable_width"), inclusive=False)


def _binding(
    read: Collector, size: QuiltSize, data: Mapping[str, Any], path: Path
) -> dict[str, Any]:
    step, unit = step_of(read, data, path)
    usable = _width(read, data, path)
    strip = read.optional_length(data, "strip", path, _STRIP)
    if strip <= 0.0:
        read.add((*path, "strip"), "A strip has a width.")
        raise Unread
    found = formulae.binding(
        size.width,
        size.length,
        strip=strip,
        usable=usable,
        extra=read.optional_length(data, "extra", path, _EXTRA),
        fabric=Fabric(usable, step),
    )
    return {
        "length_mm": found.length,
        "strips": found.strips,
        "strip_mm": found.strip,
        "fabric_length_mm": found.fabric_length,
        "buy_mm": found.buy,
        "buy": length_text(found.buy, unit),
        "unused_mm": found.leftover,
    }


def _backing(
    read: Collector, size: QuiltSize, data: Mapping[str, Any], path: Path
) -> dict[str, Any]:
    step, unit = step_of(read, data, path)
    usable = _width(read, data, path)
    with read.noting(path):
        found = formulae.backing(
            size.width,
            size.length,
            extra_each_side=read.optional_length(data, "extra_each_side", path, _EXTRA_EACH_SIDE),
            usable=usable,
            join=read.optional_length(data, "join_seam", path, 0.0),
            seams=data.get("seams", "lengthwise"),
            fabric=Fabric(usable, step),
        )
    return {
        "width_mm": found.width,
        "length_mm": found.length,
        **_panels(found.chosen, unit),
        "other_way": _panels(found.other, unit),
    }


def _panels(found: formulae.Panels, unit: str) -> dict[str, Any]:
    return {
        "seams": found.seams,
        "panels": found.panels,
        "panel_length_mm": found.panel_length,
        "fabric_length_mm": found.fabric_length,
        "buy_mm": found.buy,
        "buy": length_text(found.buy, unit),
        "unused_mm": found.leftover,
        "clearance_width_mm": found.to_spare,
    }


def _batting(
    read: Collector, size: QuiltSize, data: Mapping[str, Any], path: Path
) -> dict[str, Any]:
    extra = read.optional_length(data, "extra_each_side", path, _EXTRA_EACH_SIDE)
    width, length = formulae.batting(size.width, size.length, extra_each_side=extra)
    return {"width_mm": width, "length_mm": length}
