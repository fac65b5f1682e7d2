"""Where a sheet lies on the bed, and what of both the pieces may use."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from marshmallow import ValidationError

from geometry.erosion import disc, eroded
from geometry.measure import area as measured_area
from geometry.model.cutter import Cutter, WorkArea
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.model.transform import moved
from geometry.toolpath.reserve import common, within
from service.requests.beds import reach_of
from service.requests.materials import Material
from service.requests.stock import StockEntry
from service.schemas.errors import raise_together, unusable
from service.tools import kind_of

#: A sheet larger than its place by less than this, mm, is as large.
_ROUNDING = 1.0e-6
_NO_OUTLINE_ON_ROLL = (
    "On a bed that is a roll, a leftover is a rectangle: leave this out and state as `width` and "
    "`height` the largest rectangle that fits inside the leftover, or use a cutter with a flat bed."
)


@dataclass(frozen=True)
class Sheet:
    """Where a sheet lies on the bed, mm: its lower left corner and its size.

    A side that is not stated is infinite and begins nowhere: no edge of it is known. Outlines
    keep ``clearance`` from the edges; ``stated`` says that the request asked for just that.
    ``outline`` is that of a leftover as it lies on the bed, in the box of those sides.
    ``is_drawn_off`` says that it is a roll, of which each load takes a length.
    """

    x: float
    y: float
    width: float
    height: float
    clearance: float
    stated: bool = False
    outline: Outline | None = None
    is_drawn_off: bool = False

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

    def part_of(self, area: WorkArea, by: float, limits: Bounds | None = None) -> WorkArea | None:
        """Return the part of an area that keeps so far from the sheet's edges, or ``None``.

        Args:
            area: on the bed.
            by: the distance, mm.
            limits: a smaller box, where something else limits it too.
        """
        found = within(area, limits or self.inside(by))
        if found is None or self.outline is None:
            return found
        kept = [common(found.boundary, each) for each in eroded(self.outline, disc(by))]
        parts = [each for each in kept if each is not None]
        if not parts:
            return None
        return replace(found, boundary=max(parts, key=measured_area))


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


def spread(cutter: Cutter, material: Material, outline: Outline | None = None) -> Spread:
    """Return how a run's material lies on its cutter's bed.

    Args:
        cutter: whose bed it is.
        material: what is cut.
        outline: of a leftover that is no rectangle, its box's lower left corner at 0, 0.

    Raises:
        marshmallow.ValidationError: when the sheet cannot lie so, at a member of the material.
    """
    reach, notes = reach_on(cutter)
    sheet = _sheet(cutter, material, is_rectangle=outline is None)
    if sheet is None:
        return Spread(reach, reach, None, notes)
    if outline is not None:
        sheet = replace(sheet, outline=moved(outline, sheet.x, sheet.y))
    usable = sheet.part_of(reach, sheet.clearance, _limits(cutter, sheet))
    if usable is None:
        name = "edge_clearance" if material.position is None else "position"
        where = () if getattr(material, name) is None else (name,)
        raise unusable(_nothing_left(sheet, reach), *where)
    return Spread(reach, usable, sheet, notes)


def spread_stock(cutter: Cutter, material: Material) -> tuple[Spread, ...]:
    """Return how each kind of sheet of a run's stock lies on its cutter's bed.

    Raises:
        marshmallow.ValidationError: with every kind that cannot lie there, at a member of the
            material.
    """
    found, errors = [], []
    for index, entry in enumerate(material.stock):
        try:
            found.append(_spread_entry(cutter, material, entry))
        except ValidationError as error:
            errors.append(ValidationError({"stock": {index: error.messages}}))
    raise_together(errors)
    return tuple(found)


def _spread_entry(cutter: Cutter, material: Material, entry: StockEntry) -> Spread:
    if entry.roll is not None and not cutter.bed.roll:
        raise unusable(
            "This bed is no roll. State the bed as a roll, or the lengths that are cut from it as "
            "sheets with width and height.",
            "roll",
        )
    if entry.outline is not None and cutter.bed.roll:
        raise unusable(_NO_OUTLINE_ON_ROLL, "outline")
    if cutter.bed.roll and entry.width > cutter.bed.height + _ROUNDING:
        raise unusable(_too_wide(entry.width, cutter.bed.height), "width")
    sides = replace(
        material, stock=(), width=entry.width, height=entry.height or entry.roll, position=None
    )
    try:
        lying = spread(cutter, sides, entry.outline)
    except ValidationError as error:
        # Whatever is wrong with one sheet is wrong with this kind of it.
        texts = error.messages
        while isinstance(texts, dict):
            texts = next(iter(texts.values()))
        raise ValidationError(texts) from None
    assert lying.sheet is not None  # noqa: S101 - its sides are stated
    if entry.roll is None:
        return lying
    return replace(lying, sheet=replace(lying.sheet, is_drawn_off=True))


def _too_wide(width: float, bed: float) -> str:
    return (
        f"{width:g} mm is too wide for this cutter, which takes rolls up to {bed:g} mm wide. Leave "
        "it out, state the width to which you cut it, or use a wider cutter."
    )


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


def _sheet(cutter: Cutter, material: Material, *, is_rectangle: bool) -> Sheet | None:
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
    if not bed.roll and None in {width, height}:
        # A sheet that is unlimited one way has no place on the bed that a sheet could say.
        missing = "width" if width is None else "height"
        raise unusable(f"State the sheet's {missing} too, or leave both out.", missing)
    if bed.roll and width is not None and width > bed.height + _ROUNDING:
        raise unusable(_too_wide(width, bed.height), "width")
    kind, clearance = kind_of(cutter.tool), material.edge_clearance
    clearance = usual_clearance(cutter) if clearance is None else clearance
    sides = (height, width) if bed.roll else (width, height)
    wide, tall = (math.inf if side is None else side for side in sides)
    keep = cutter.margins
    x = 0.0 if bed.roll else _begin(wide, keep.left, bed.width)
    y = _begin(tall, keep.bottom, bed.height)
    if kind.grips_edges and is_rectangle and not bed.roll:
        # A frame grips only what reaches past its opening, so cloth that can lies over all of it.
        x = (bed.width - wide) / 2.0 if wide - bed.width > 2.0 * clearance else x
        y = (bed.height - tall) / 2.0 if tall - bed.height > 2.0 * clearance else y
    if position is not None:
        x, y = position
    # What goes on a roll's bed whole, and is narrower, is a piece of cloth: it has no end to feed.
    is_piece = (
        math.isfinite(wide) and wide <= bed.width + _ROUNDING and tall < bed.height - _ROUNDING
    )
    stated = material.edge_clearance is not None
    if bed.roll:
        # The sheet is what is drawn off at once.
        wide = min(wide, bed.width)
    return Sheet(x, y, wide, tall, clearance, stated, is_drawn_off=bed.roll and not is_piece)


def usual_clearance(cutter: Cutter) -> float:
    """Return what is kept free at a sheet's edges where the request states nothing, mm."""
    kind = kind_of(cutter.tool)
    return max(kind.default_edge_clearance_mm, kind.reach(cutter.tool).cut)


def _begin(side: float, margin: float, bed: float) -> float:
    """Return where a sheet's side begins: after the margin where it fits there, else at 0."""
    return margin if margin + side <= bed + _ROUNDING else 0.0


def _nothing_left(sheet: Sheet, reach: WorkArea) -> str:
    shorter = min(sheet.width, sheet.height)
    if 2.0 * sheet.clearance >= shorter:
        return (
            f"A clearance of {sheet.clearance:g} mm at each edge leaves nothing of a sheet "
            f"{shorter:g} mm wide; state less than {shorter / 2.0:g} mm."
        )
    box = reach.bounds
    across = f"{box.left:g} mm on" if reach.open_right else f"{box.left:g} to {box.right:g} mm"
    return (
        f"Less its clearance of {sheet.clearance:g} mm the sheet has nothing in common with what "
        f"the tool can reach: {across} from the bed's left edge, {box.bottom:g} to {box.top:g} mm "
        f"from its lower edge."
    )
