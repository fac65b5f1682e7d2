"""The specification of a quilt plan, read from its request."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from geometry.planning.assembly import Edge
from geometry.planning.colours import By, ColourPlan, Flower
from geometry.planning.plane import Tiling
from geometry.planning.sheets import Sheet
from geometry.planning.tilings import TILINGS
from geometry.units import MM_PER_INCH as INCH
from service.quilts.settings import Bought, QuiltSize, fabric_of, quilt_size
from service.requests.convert.collector import Collector, Path, Unread
from service.requests.schemas.quilts import MOST_COLOURS

_SIZES = ("side", "width", "height", "length")
_PAPERS = {"letter": (8.5 * INCH, 11.0 * INCH), "a4": (210.0, 297.0)}
_ALLOWANCE, _MARGIN, _GAP = 0.25 * INCH, 0.25 * INCH, 1.0
USUAL_CUTTER = "drag-blade-sheet"
#: Minimum size of a piece that can be sewn, mm.
_LEAST_SIZE = 3.0
#: Maximum size of a patch, mm; the widest piece of any tiling stays within the limits of shapes.
_MOST_SIZE = 3000.0


@dataclass(frozen=True)
class QuiltSpec:
    """The specification of a quilt plan, in mm."""

    title: str
    units: str
    tiling: Tiling
    sizes: Mapping[str, float]
    written: Mapping[str, str | float]
    on_side: bool
    quilt: QuiltSize
    sides: Edge
    ends: Edge
    colours: ColourPlan
    flower: Flower | None
    allowance: float
    written_allowance: str | float
    stitches_per_inch: float
    fabric: Bought
    sheet: Sheet
    reuse: int
    kits: int
    cutter: str


def read_spec(read: Collector, data: Mapping[str, Any]) -> QuiltSpec | None:
    """Return the specification from a request, or ``None`` if it is invalid; collect its errors."""
    tiling = TILINGS[data["tiling"]]
    sizes: Mapping[str, float] | None = None
    quilt: QuiltSize | None = None
    fabric: Bought | None = None
    sheet: Sheet | None = None
    allowance: float | None = None
    with read.going_on():
        sizes = _sizes(read, tiling, data)
    with read.going_on():
        quilt = quilt_size(read, data["quilt"], ("quilt",))
    with read.going_on():
        fabric = fabric_of(read, data.get("fabric") or {}, ("fabric",))
    with read.going_on():
        sheet = _sheet(read, data.get("paper") or {}, ("paper",))
    with read.going_on():
        allowance = read.optional_length(data, "seam_allowance", (), _ALLOWANCE)
    colours = _colours(read, data.get("colours") or {}, ("colours",))
    if sizes is None or quilt is None or fabric is None or sheet is None or allowance is None:
        return None
    edge = data.get("edge", "whole")
    edges = edge if isinstance(edge, Mapping) else {"sides": edge, "ends": edge}
    return QuiltSpec(
        title=data.get("title") or f"Quilt of {tiling.title}",
        units=data.get("units") or "mm",
        tiling=tiling,
        sizes=sizes,
        written={name: data[name] for name in tiling.sizes},
        on_side=data.get("direction") == "on_side",
        quilt=quilt,
        sides=edges.get("sides", "whole"),
        ends=edges.get("ends", "whole"),
        colours=colours,
        flower=_flower(tiling, data),
        allowance=allowance,
        written_allowance=data.get("seam_allowance", "1/4 in"),
        stitches_per_inch=float(data.get("stitches_per_inch", 10.0)),
        fabric=fabric,
        sheet=sheet,
        reuse=(data.get("paper") or {}).get("reuse", 1),
        kits=data.get("kits", 1),
        cutter=data.get("cutter", USUAL_CUTTER),
    )


def _sizes(read: Collector, tiling: Tiling, data: Mapping[str, Any]) -> Mapping[str, float]:
    names = " and ".join(tiling.sizes)
    for name in (*_SIZES, "rounds", "path"):
        if name in data and name not in tiling.sizes and name not in tiling.counts:
            read.add((name,), f"{tiling.title.capitalize()} are sized by {names}; leave this out.")
    found: dict[str, float] = {}
    for name, what in tiling.sizes.items():
        if name not in data:
            read.add((name,), f"{tiling.title.capitalize()} are sized by {names}: {what}.")
            continue
        with read.going_on():
            found[name] = read.length(data[name], (name,), least=_LEAST_SIZE, most=_MOST_SIZE)
    if len(found) != len(tiling.sizes):
        raise Unread
    return found


def _flower(tiling: Tiling, data: Mapping[str, Any]) -> Flower | None:
    if not tiling.counts:
        return None
    usual = {name: bounds[2] for name, bounds in tiling.counts.items()}
    return Flower(**{name: data.get(name, value) for name, value in usual.items()})


def _colours(read: Collector, data: Mapping[str, Any], path: Path) -> ColourPlan:
    names = tuple(data.get("names", ()))
    by: By = data.get("by", "pieces")
    if by != "list" and len(names) > MOST_COLOURS:
        read.add((*path, "names"), f"Name at most {MOST_COLOURS} colours.")
    if len(set(names)) > MOST_COLOURS:
        read.add((*path, "names"), f"Use at most {MOST_COLOURS} different colours.")
    if "shift" in data and by != "repeat":
        read.add((*path, "shift"), "Only a repeat is shifted.")
    if by not in {"pieces", "rounds"} and not names:
        read.add((*path, "names"), f'Colours by "{by}" need names.')
    return ColourPlan(by, names, data.get("shift", 0))


def _sheet(read: Collector, data: Mapping[str, Any], path: Path) -> Sheet:
    own = [name for name in ("width", "height") if name in data]
    if own and "sheet" in data:
        read.add((*path, "sheet"), "Give either a named sheet or its width and height.")
        raise Unread
    if len(own) == 1:
        read.add((*path, own[0]), "Give the sheet's width and its height.")
        raise Unread
    usual = "letter" if read.units == "in" else "a4"
    name = "sheet" if own else data.get("sheet", usual)
    width, height = _PAPERS.get(name, (0.0, 0.0))
    if own:
        width, height = (
            read.length(data[side], (*path, side), inclusive=False) for side in ("width", "height")
        )
    margin = read.optional_length(data, "margin", path, _MARGIN)
    gap = read.optional_length(data, "gap", path, _GAP)
    if 2.0 * margin >= min(width, height):
        read.add((*path, "margin"), "The margins leave nothing of the sheet.")
        raise Unread
    return Sheet(name, width, height, margin, gap)
