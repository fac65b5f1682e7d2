"""Where a sheet lies on the bed, and what of both the pieces may use."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.model.cutter import Cutter, WorkArea
from geometry.model.segments import Bounds
from geometry.toolpath.reserve import within
from service.requests.beds import reach_of
from service.requests.materials import Material
from service.schemas.errors import unusable
from service.tools import kind_of

#: A sheet larger than its place by less than this, mm, is as large.
_ROUNDING = 1.0e-6


@dataclass(frozen=True)
class Sheet:
    """Where a sheet lies on the bed, mm: its lower left corner and its size.

    A side that is not stated is infinite and begins nowhere: no edge of it is known. Outlines
    keep ``clearance`` from the edges; ``stated`` says that the request asked for just that.
    """

    x: float
    y: float
    width: float
    height: float
    clearance: float
    stated: bool = False

    @property
    def box(self) -> Bounds:
        """The sheet itself, without end where no side is stated."""
        left = self.x if math.isfinite(self.width) else -math.inf
        bottom = self.y if math.isfinite(self.height) else -math.inf
        return Bounds(left, bottom, self.x + self.width, self.y + self.height)

    def inside(self, by: float) -> Bounds:
        """Return the box that keeps so far from every edge."""
        box = self.box
        return Bounds(box.left + by, box.bottom + by, box.right - by, box.top - by)


@dataclass(frozen=True)
class Spread:
    """A material on a bed.

    ``reach`` is where the tool's axis may go, ``area`` what the sheet less its clearance has in
    common with it, ``notes`` what is to be said of them.
    """

    reach: WorkArea
    area: WorkArea
    sheet: Sheet | None
    notes: tuple[str, ...] = ()


def spread(cutter: Cutter, material: Material) -> Spread:
    """Return how a run's material lies on its cutter's bed.

    Args:
        cutter: whose bed it is.
        material: what is cut.

    Raises:
        marshmallow.ValidationError: when the sheet cannot lie so, at a member of the material.
    """
    reach, notes = reach_on(cutter)
    sheet = _sheet(cutter, material)
    if sheet is None:
        return Spread(reach, reach, None, notes)
    usable = within(reach, _limits(cutter, sheet))
    if usable is None:
        name = "edge_clearance" if material.position is None else "position"
        where = () if getattr(material, name) is None else (name,)
        raise unusable(_nothing_left(sheet, reach), *where)
    return Spread(reach, usable, sheet, notes)


def reach_on(cutter: Cutter) -> tuple[WorkArea, tuple[str, ...]]:
    """Return where the tool's axis may go on a bed, and what is to be said of that."""
    bed, keep = cutter.bed, cutter.margins
    if bed.roll:
        across = bed.height - keep.bottom - keep.top
        along = bed.width - keep.left - keep.right
        return WorkArea.roll(keep.left, keep.bottom, across, along), ()
    area, whole = reach_of(cutter)
    note = (
        "The tool's head cannot pass everywhere between the sides of the opening: only the "
        "largest part that it can work in is used."
    )
    return area, (() if whole else (note,))


def _limits(cutter: Cutter, sheet: Sheet) -> Bounds:
    """Return the box that outlines keep to for the sheet's sake."""
    box = sheet.inside(sheet.clearance)
    if not cutter.bed.roll or math.isinf(sheet.width):
        return box
    # What is drawn off holds the margin behind the last piece as well.
    return box._replace(right=min(box.right, sheet.width - cutter.margins.right))


def _sheet(cutter: Cutter, material: Material) -> Sheet | None:
    bed, position = cutter.bed, material.position
    if position is not None and (bed.roll or None in {material.width, material.height}):
        why = (
            "A roll lies along its bed; leave this out."
            if bed.roll
            else "State the sheet's width and height too: its edges are not known."
        )
        raise unusable(why, "position")
    width, height = material.width, material.height
    if bed.roll and width is None and material.edge_clearance is not None:
        width = bed.height
    if width is None and height is None:
        if material.edge_clearance is not None:
            why = "State the sheet's width and height too: its edges are not known."
            raise unusable(why, "edge_clearance")
        return None
    kind = kind_of(cutter.tool)
    usual = max(kind.default_edge_clearance_mm, kind.reach(cutter.tool).cut)
    clearance = usual if material.edge_clearance is None else material.edge_clearance
    sides = (height, width) if bed.roll else (width, height)
    wide, tall = (math.inf if side is None else side for side in sides)
    keep = cutter.margins
    x = 0.0 if bed.roll else _begin(wide, keep.left, bed.width)
    y = _begin(tall, keep.bottom, bed.height)
    if position is not None:
        x, y = position
    return Sheet(x, y, wide, tall, clearance, material.edge_clearance is not None)


def _begin(side: float, margin: float, bed: float) -> float:
    """Return where a sheet's side begins: after the margin where it fits there, else at 0."""
    return margin if margin + side <= bed + _ROUNDING else 0.0


def _nothing_left(sheet: Sheet, reach: WorkArea) -> str:
    shorter = min(sheet.width, sheet.height)
    if 2.0 * sheet.clearance >= shorter:
        return (
            f"A clearance of {sheet.clearance:g} mm at each edge leaves nothing of a sheet "
            f"{shorter:g} mm wide; less than {shorter / 2.0:g} mm does."
        )
    box = reach.bounds
    across = f"{box.left:g} mm on" if reach.open_right else f"{box.left:g} to {box.right:g} mm"
    return (
        f"Less its clearance of {sheet.clearance:g} mm the sheet has nothing in common with what "
        f"the tool can reach: {across} from the bed's left edge, {box.bottom:g} to {box.top:g} mm "
        f"from its lower edge."
    )
