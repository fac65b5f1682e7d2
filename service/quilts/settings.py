"""Reads quilts, fabrics and their settings from requests; holds their defaults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from geometry import units as lengths
from geometry.planning import beds
from geometry.planning.yardage import Fabric, PreCut
from geometry.units import MM_PER_INCH as INCH
from service.requests.convert.collector import Collector, Path, Unread

#: In metric requests, cloth is sold by the tenth of a metre.
_METRIC_STEP = 100.0
_YARD_STEP = 4.5 * INCH
USUAL_WIDTH = 40.0 * INCH

_PRE_CUTS = {
    "fat_quarter": ("fat quarter", 18 * INCH, 22 * INCH),
    "fat_quarter_metric": ("metric fat quarter", 500.0, 550.0),
    "fat_eighth": ("fat eighth", 9 * INCH, 22 * INCH),
    "square_5": ("5 in square", 5 * INCH, 5 * INCH),
    "square_10": ("10 in square", 10 * INCH, 10 * INCH),
}
_STRIP = 2.5 * INCH


@dataclass(frozen=True)
class QuiltSize:
    """A quilt's size, mm, and its source."""

    width: float
    length: float
    bed: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class Bought:
    """A fabric, the unit for stating its length, and its pre-cut piece, if any."""

    fabric: Fabric
    unit: str
    pre_cut: PreCut | None = None


def quilt_size(read: Collector, data: Mapping[str, Any], path: Path) -> QuiltSize:
    """Return a quilt's size.

    Raises:
        Unread: when it is invalid; the errors are collected.
    """
    plain = [name for name in ("width", "length") if name in data]
    of_bed = ("mattress_width", "mattress_length", "drop", "tuck")
    if "bed" in data:
        for name in plain:
            read.add((*path, name), "Give either a bed or the quilt's width and length.")
        return _over_bed(read, data, path)
    for name in of_bed:
        if name in data:
            read.add((*path, name), "This needs a bed; name the bed too.")
    missing = [name for name in ("width", "length") if name not in data]
    for name in missing:
        read.add((*path, name), "Give the quilt's width and length, or a bed.")
    if missing:
        raise Unread
    return QuiltSize(*_both(read, data, path, ("width", "length")))


def _both(
    read: Collector, data: Mapping[str, Any], path: Path, names: tuple[str, str]
) -> tuple[float, float]:
    found = []
    for name in names:
        with read.going_on():
            found.append(read.length(data[name], (*path, name), inclusive=False))
    if len(found) != len(names):
        raise Unread
    return found[0], found[1]


def _over_bed(read: Collector, data: Mapping[str, Any], path: Path) -> QuiltSize:
    bed = data["bed"]
    width, length = beds.mattress(bed)
    width = read.optional_length(data, "mattress_width", path, width)
    length = read.optional_length(data, "mattress_length", path, length)
    drop = read.optional_length(data, "drop", path, beds.usual_drop(bed))
    tuck = read.optional_length(data, "tuck", path, 0.0)
    source = {
        "name": bed,
        "mattress_width_mm": width,
        "mattress_length_mm": length,
        "drop_mm": drop,
        "tuck_mm": tuck,
    }
    return QuiltSize(*beds.quilt_size(width, length, drop=drop, tuck=tuck), source)


def step_of(read: Collector, data: Mapping[str, Any], path: Path) -> tuple[float, str]:
    """Return the step in which fabric is sold, mm, and the unit for stating lengths.

    Raises:
        Unread: when it is invalid.
    """
    metric = read.units in {"mm", "cm"}
    value = data.get("step")
    if value is None:
        return (_METRIC_STEP, "m") if metric else (_YARD_STEP, "yd")
    step = read.length(value, (*path, "step"), inclusive=False)
    text = str(value).lower()
    if "yd" in text or "yard" in text:
        return step, "yd"
    bare = not any(letter.isalpha() for letter in text)
    if "m" in text or (bare and metric):
        return step, "m"
    return step, "in"


def fabric_of(read: Collector, data: Mapping[str, Any], path: Path) -> Bought:
    """Return a fabric.

    Raises:
        Unread: when it is invalid; the errors are collected.
    """
    step, unit = step_of(read, data, path)
    width = USUAL_WIDTH
    if "width" in data:
        width = read.length(data["width"], (*path, "width"), inclusive=False)
    fabric = Fabric(
        width=width,
        step=step,
        shrinkage=data.get("shrinkage_percent", 0.0) / 100.0,
        spoilage=data.get("spoilage_percent", 0.0) / 100.0,
        directional=bool(data.get("directional", False)),
    )
    return Bought(fabric, unit, _pre_cut(read, data, path, width))


def _pre_cut(read: Collector, data: Mapping[str, Any], path: Path, width: float) -> PreCut | None:
    value = data.get("pre_cut")
    if value is None:
        return None
    if value == "strip":
        return PreCut("2 1/2 in strip", width, _STRIP)
    if isinstance(value, str):
        return PreCut(*_PRE_CUTS[value])
    return PreCut("pre-cut piece", *_both(read, value, (*path, "pre_cut"), ("width", "length")))


def length_text(mm: float, unit: str) -> str:
    """Return a length of fabric in the trade's form: ``1 3/8 yd``, ``1.3 m``, ``54 in``."""
    if unit == "yd":
        return lengths.yard_text(mm)
    if unit == "m":
        return f"{lengths.format_decimal(mm / 1000.0, 3)} m"
    return lengths.format_length(mm, "in")
