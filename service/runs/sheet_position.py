"""Where a run's sheet lies on the bed, in words and numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from geometry import polygons
from geometry import units as lengths
from geometry.tolerance import CHORD
from service.answers.places import SheetAnswer
from service.errors import Change
from service.requests.runs import Run
from service.requests.sheets import Sheet
from service.runs.frames import grip_warnings, is_centred, laid_to_mm, past_sides
from service.runs.least_material import least_box
from service.runs.motifs import first_motif_words
from service.runs.notices import curable, hundredths
from service.runs.printing import is_printed
from service.runs.roll_cloth import is_drawn_off, is_narrow, zero_words
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.tools import kind_of
from service.tools.cloth import CLOTH

_LOAD: Final = _later("Load {what}.")
#: How far a sheet reaches past a bed, in the order of ``past_sides``.
_PAST: Final = (
    _later("{length} past the left"),
    _later("{length} past the right"),
    _later("{length} past the top"),
    _later("{length} past the bottom"),
)
#: A difference of lengths that is rounding, mm.
_ROUNDING: Final = 1.0e-6


def bed_word(run: Run) -> str:
    """Return what the run's bed is called at the bench."""
    return _later("roll") if run.cutter.bed.roll else kind_of(run.cutter.tool).bed_word


def has_place(run: Run) -> bool:
    """Return whether both sides of the run's sheet are stated: it is no length of a roll."""
    return (
        run.sheet is not None
        and math.isfinite(run.sheet.width)
        and math.isfinite(run.sheet.height)
        and not is_drawn_off(run)
    )


def has_corner(run: Run) -> bool:
    """Return whether it is known where the lower left corner of the run's sheet lies.

    That is of each sheet with a place, and of a length of roll that is narrower than its bed.
    """
    return has_place(run) or is_narrow(run)


def corner_words(run: Run) -> str:
    """Return what is put in its place of a run's sheet; of a leftover the box around it."""
    if run.sheet is None or run.sheet.outline is None:
        return _("its lower left corner")
    return _("the lower left corner of the box around it")


def position_words(run: Run, units: str) -> str:
    """Return where the sheet's lower left corner lies, to follow "its lower left corner"."""
    assert run.sheet is not None  # noqa: S101 - asked only of runs whose sheet has a place
    return _position(run, run.sheet, units)


def trimmed(run: Run) -> Sheet | None:
    """Return what of a run's sheet is loaded if the rest is trimmed off: a lid closes over it."""
    bed, sheet = run.cutter.bed, run.sheet
    if sheet is None or sheet.outline is not None or not has_place(run):
        return None
    if not kind_of(run.cutter.tool).is_beam or max(past_sides(bed, sheet)) <= _ROUNDING:
        return None
    x, y = max(0.0, sheet.x), max(0.0, sheet.y)
    right, top = min(sheet.x + sheet.width, bed.width), min(sheet.y + sheet.height, bed.height)
    return replace(sheet, x=x, y=y, width=right - x, height=top - y)


def near_edge_mm(run: Run, units: str) -> float | None:
    """Return within which mark of a ruler pieces come to the edge of a sheet that is laid by hand.

    None where they stay farther away. Cloth in a frame or on a die reaches past all pieces, and a
    printer lays paper by itself.
    """
    kind, mark = kind_of(run.cutter.tool), laid_to_mm(units)
    if run.sheet is None or not has_corner(run) or is_centred(run):
        return None
    if kind.is_pressed or is_printed(run) or _is_inside(run, run.sheet, mark + 2.0 * _ROUNDING):
        return None
    return mark if run.sheet.clearance <= mark else None


def _position(run: Run, sheet: Sheet, units: str) -> str:
    if run.from_roll:
        return zero_words(run, units)
    return _on_bed(run, sheet.x, sheet.y, units)


def _on_bed(run: Run, x: float, y: float, units: str) -> str:
    """Return where a corner lies on the bed."""
    bed = _(bed_word(run))
    if max(abs(x), abs(y)) < _ROUNDING:
        return _("on the {bed}'s lower left corner", bed=bed)
    if abs(x - y) < _ROUNDING and x > 0.0:
        length = lengths.format_length(x, units)
        return _("{length} from the {bed}'s left and lower edge", length=length, bed=bed)
    across = _from(x, _("the {bed}'s left edge", bed=bed), units)
    up = _from(y, _("its lower edge"), units)
    return _("{across} and {up}", across=across, up=up)


def _from(distance: float, edge: str, units: str) -> str:
    if abs(distance) < _ROUNDING:
        return _("flush with {edge}", edge=edge)
    length = lengths.format_length(abs(distance), units)
    if distance > 0.0:
        return _("{length} from {edge}", length=length, edge=edge)
    return _("{length} beyond {edge}", length=length, edge=edge)


def loading_of(run: Run, units: str, *, wrong_side_up: bool = False) -> str:
    """Return the sentence that tells the operator how to lay the run's material."""
    name = run.material.name if run.material.is_named else _("the material")
    stacked = "".join(f", {words}" for words in _stacked(run, wrong_side_up=wrong_side_up))
    motif = f", {words}" if run.anchors and (words := first_motif_words(run, units)) else ""
    place = f", {words}" if (words := _place_words(run, units)) else ""
    is_loaded = run.from_roll or (place and not is_centred(run))
    how = _LOAD if is_loaded else kind_of(run.cutter.tool).loading_words
    return _(how, what=f"{name}{stacked}{place}{motif}")


def _place_words(run: Run, units: str) -> str:
    """Return where a run's sheet is put; cloth over a frame's opening is not measured out."""
    if is_drawn_off(run) and run.material.kind in CLOTH and not is_narrow(run):
        return _(
            "its end at the left and its lower selvedge below, their corner {place}",
            place=zero_words(run, units),
        )
    if is_drawn_off(run):
        corner = _("its end at the left and its lower edge below, their corner")
        return _at(run, corner, zero_words(run, units), units)
    if not has_place(run):
        # Of material as large as it has to be, a corner elsewhere leaves pieces hanging off it.
        least = least_box(run, units)
        place = least and _on_bed(run, least.left, least.bottom, units)
        return f"{_('its lower left corner')} {place}" if place else ""
    if is_centred(run):
        return _("centred over the opening")
    if (rest := trimmed(run)) is not None:
        sides = (lengths.format_length(each, units) for each in (rest.width, rest.height))
        size = " x ".join(sides)
        return _(
            "trimmed to {size} (across x up the picture), {place}",
            size=size,
            place=_corner_at(run, _position(run, rest, units), units),
        )
    return _corner_at(run, position_words(run, units), units)


def _corner_at(run: Run, position: str, units: str) -> str:
    return _at(run, corner_words(run), position, units)


def _at(run: Run, corner: str, position: str, units: str) -> str:
    """Return where a corner is put, exactly where pieces come near the edges."""
    places = (run.sheet.x, run.sheet.y) if run.sheet is not None else ()
    # Nobody lays a sheet exactly at about a length.
    is_exact = units != "in" or all(map(lengths.is_mark, places))
    if near_edge_mm(run, units) is None or not is_exact:
        return f"{corner} {position}"
    return _("{corner} exactly {position}", corner=corner, position=position)


def _stacked(run: Run, *, wrong_side_up: bool) -> Iterator[str]:
    """Yield how many plies are loaded, and which side of cloth is up."""
    if run.layers > 1:
        yield _("{layers} layers", layers=run.layers)
    if run.is_face_to_face:
        yield _("in pairs, right sides together")
    elif run.material.kind in CLOTH:
        yield _("wrong side up") if wrong_side_up else _("right side up")


def sheet_answer(run: Run, units: str) -> SheetAnswer | None:
    """Return where a run's sheet lies and what is kept free at its edges."""
    sheet = run.sheet
    if sheet is None:
        return None
    if not has_corner(run):
        return SheetAnswer(edge_clearance_mm=sheet.clearance)
    return SheetAnswer(
        edge_clearance_mm=sheet.clearance,
        x_mm=sheet.x,
        y_mm=sheet.y,
        # How much of a roll a load takes is its length, no side of a sheet.
        width_mm=sheet.width if has_place(run) else None,
        height_mm=sheet.height,
        position=f"{corner_words(run).removeprefix('its ')} {position_words(run, units)}",
    )


def sheet_warnings(run: Run, units: str) -> list[str]:
    """Say what of a sheet reaches past the bed, lies over its frame, or is cut past its edge."""
    if run.sheet is None:
        return []
    warnings: list[str] = []
    needed = kind_of(run.cutter.tool).reach(run.cutter.tool).cut
    if run.sheet.clearance < needed - _ROUNDING and not _is_inside(run, run.sheet, needed):
        wide = hundredths(needed)
        text = _(
            "As asked, pieces may lie {length} from the sheet's edge, and the tool needs "
            "{needed:.2g} mm there: it runs off the sheet.",
            length=lengths.format_length(run.sheet.clearance, units),
            needed=needed,
        )
        change = Change("/material/edge_clearance", wide)
        warnings.append(curable(text, f"Keep {wide} from the sheet's edge", change))
    if has_place(run):
        warnings.extend(_past_the_bed(run, run.sheet, units))
    return warnings


def _is_inside(run: Run, sheet: Sheet, needed: float) -> bool:
    """Return whether margins keep all pieces farther than ``needed`` mm from a sheet's edges."""
    if not has_corner(run) or sheet.outline is not None:
        return False
    room, least = run.area.bounds, needed - _ROUNDING
    return (
        min(room.left - sheet.x, sheet.x + sheet.width - room.right) >= least
        and min(room.bottom - sheet.y, sheet.y + sheet.height - room.top) >= least
    )


def _past_the_bed(run: Run, sheet: Sheet, units: str) -> list[str]:
    bed, word = run.cutter.bed, _(bed_word(run))
    past = [
        _(words, length=lengths.format_length(by, units))
        for words, by in zip(_PAST, past_sides(bed, sheet), strict=True)
        if by > _ROUNDING
    ]
    if kind_of(run.cutter.tool).grips_edges:
        return [*grip_warnings(run, sheet, units), *_outside_the_opening(run, sheet)]
    if past and kind_of(run.cutter.tool).is_beam:
        warning = _(
            "The sheet reaches {names} of the {word}; no piece lies there. Before you load it, "
            "trim off what hangs over: the lid must close, and nothing may lie in the way of head "
            "and beam.",
            names=", ".join(past),
            word=word,
        )
        return [warning]
    if past:
        warning = _(
            "The sheet reaches {names} of the {word}. Support what hangs over and make sure "
            "that it catches nothing; no piece lies there.",
            names=", ".join(past),
            word=word,
        )
        return [warning]
    return _outside_the_opening(run, sheet)


def _outside_the_opening(run: Run, sheet: Sheet) -> list[str]:
    """Say how much of a sheet that is not larger than a shaped opening cannot be cut."""
    bed = run.cutter.bed
    if bed.boundary is None or max(past_sides(bed, sheet)) > _ROUNDING:
        return []
    opening = polygons.flattened_polygon(bed.boundary, CHORD)
    hidden = 1.0 - opening.intersection(polygons.box(*sheet.box)).area / (
        sheet.width * sheet.height
    )
    larger = sheet.width >= bed.width - _ROUNDING and sheet.height >= bed.height - _ROUNDING
    if larger or hidden < 0.005:  # noqa: PLR2004 - a corner on the rim is no matter
        return []
    warning = _(
        "{hidden:.0f} % of the sheet lies outside the {word}'s opening and cannot be cut; its "
        "position can be stated.",
        hidden=100.0 * hidden,
        word=_(bed_word(run)),
    )
    return [warning]
