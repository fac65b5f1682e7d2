"""A run on printed cloth: where its motifs lie, and which point of each piece lies on one."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from geometry import polygons
from geometry import units as lengths
from geometry.measure import centroid
from geometry.model.motif import Affine, Motif, PrintedCloth
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.motif_fit import MeasuredMotif, MotifFit, fit_motifs
from geometry.separation import contains
from geometry.tolerance import CHORD
from service.errors import Fault, InvalidRequestError, pointer
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.notices import hundredths
from service.texts import gettext as _

#: Turns that are tried as an outline's symmetry, as parts of a whole turn.
_MAX_SYMMETRY = 12
#: Share of its area by which an outline may differ from itself turned.
_SAME_SHARE = 1e-4
#: Measured motifs that are farther than this from the print make a warning, mm.
_FAR = 1.0


@dataclass(frozen=True)
class MotifUse:
    """What cutting on motifs takes beside free cutting, mm2, and how the cloth lies."""

    material: float
    free_material: float
    first: Motif | None
    fit: MotifFit | None


def with_anchors(kit: Kit, run: Run, index: int) -> Run:
    """Return a run that knows the point of each of its pieces that lies on a motif.

    Raises:
        InvalidRequestError: when a point is off its piece, or the run asks for what does not go
            with motifs.
    """
    wanted = [piece for piece in run.quantities if kit.pieces[piece].motif is not False]
    if run.material.motif is None or not wanted:
        return run
    if faults := [*_wrong_run(run, index), *_off_piece(kit, wanted)]:
        raise InvalidRequestError(faults[0].detail, faults)
    return replace(run, anchors={piece: _anchor(kit, piece) for piece in wanted})


def _anchor(kit: Kit, piece: str) -> Point:
    motif = kit.pieces[piece].motif
    if isinstance(motif, bool):
        return centroid(kit.pieces[piece].template.outline)
    return Point(*motif)


def _off_piece(kit: Kit, wanted: list[str]) -> list[Fault]:
    faults = []
    for piece in wanted:
        outline = kit.pieces[piece].template.outline
        if contains(outline, _anchor(kit, piece)):
            continue
        box = outline.bounds
        detail = (
            f'This point is not on the template of piece "{piece}", which reaches from '
            f"({box.left:.4g}, {box.bottom:.4g}) mm to ({box.right:.4g}, {box.top:.4g}) mm in "
            "its own coordinates."
        )
        faults.append(Fault(pointer("pieces", list(kit.pieces).index(piece), "motif"), detail))
    return faults


def _wrong_run(run: Run, index: int) -> list[Fault]:
    faults = []
    if run.is_face_to_face:
        detail = "Of layers face to face only one shows its motifs; lay all of them face up."
        faults.append(Fault(pointer("runs", index, "stack"), detail))
    if run.sets and len(run.quantities) > 1:
        detail = "Motifs are where they are: whole sets on each load cannot be kept with them."
        faults.append(Fault(pointer("runs", index, "sets"), detail))
    return faults


def cloth_of(run: Run) -> PrintedCloth:
    """Return the print of a run as it lies on the bed."""
    print_, (x, y) = run.material.motif, _corner(run)
    assert print_ is not None  # noqa: S101 - asked only of runs on a print
    fit = fit_of(run)
    base = _base_deg(run)
    if fit is not None:
        return PrintedCloth(print_.repeat, fit.lies, base)
    lies = Affine.turned(base, print_.origin[0] + x, print_.origin[1] + y)
    return PrintedCloth(print_.repeat, lies, base)


def fit_of(run: Run) -> MotifFit | None:
    """Return how the cloth of a run lies by its measured motifs; ``None`` where none are."""
    print_, (x, y) = run.material.motif, _corner(run)
    if print_ is None or not print_.measured:
        return None
    measured = [
        MeasuredMotif(each.printed, (each.measured[0] + x, each.measured[1] + y))
        for each in print_.measured
    ]
    return fit_motifs(measured, _base_deg(run))


def repeat_as_it_lies(run: Run) -> tuple[float, float]:
    """Return the width and height of a repeat on the cloth, stretched as measured, mm."""
    print_, fit = run.material.motif, fit_of(run)
    assert print_ is not None  # noqa: S101 - asked only of runs on a print
    width, height = print_.repeat.width, print_.repeat.height
    if fit is None:
        return width, height
    return width * fit.stretch_across, height * fit.stretch_along


def _base_deg(run: Run) -> float:
    # The lengthwise grain runs along a roll and up any other bed.
    return 90.0 if run.from_roll else 0.0


def _corner(run: Run) -> tuple[float, float]:
    """Return where the sheet's lower left corner lies; the bed's where no sheet is known."""
    if run.sheet is None:
        return 0.0, 0.0
    box = run.sheet.box
    return (
        box.left if math.isfinite(box.left) else 0.0,
        box.bottom if math.isfinite(box.bottom) else 0.0,
    )


def visible_box(run: Run) -> Bounds:
    """Return the part of the bed on which cloth lies."""
    bed = run.cutter.bed
    box = Bounds(0.0, 0.0, bed.width, bed.height)
    if run.sheet is None:
        return box
    sheet = run.sheet.box
    return Bounds(
        max(box.left, sheet.left),
        max(box.bottom, sheet.bottom),
        min(box.right, sheet.right),
        min(box.top, sheet.top),
    )


def first_motif(run: Run) -> Motif | None:
    """Return the motif nearest to the lower left corner of the cloth on the bed."""
    box = visible_box(run)
    cloth = cloth_of(run)
    reach = cloth.repeat.width + cloth.repeat.height + cloth.repeat.drop
    near = box._replace(
        right=min(box.right, box.left + 2.0 * reach), top=min(box.top, box.bottom + 2.0 * reach)
    )
    return min(
        cloth.motifs(near),
        key=lambda each: (round(each.x - box.left + each.y - box.bottom, 6), each.x),
        default=None,
    )


def first_motif_words(run: Run, units: str) -> str:
    """Return where a motif has to lie, for the person who lays the cloth on the bed."""
    found = first_motif(run)
    if found is None:
        return ""
    x, y = _corner(run)
    across = lengths.format_length(max(0.0, found.x - x), units)
    up = lengths.format_length(max(0.0, found.y - y), units)
    measured = run.material.motif is not None and run.material.motif.measured
    if measured:
        where = _(
            "the middle of a motif {across} from the cloth's left edge and {up} from the cloth's "
            "lower edge, just as it was measured"
        )
    else:
        where = _(
            "the middle of a motif {across} from the cloth's left edge and {up} from the cloth's "
            "lower edge"
        )
    return where.format(across=across, up=up)


def symmetry_deg(outline: Outline, about: Point) -> float:
    """Return the least turn about a point at which an outline looks the same; 360 for none."""
    polygon = polygons.flattened_polygon(outline, CHORD)
    origin = (about.x, about.y)
    for parts in range(_MAX_SYMMETRY, 1, -1):
        turned = polygons.rotate(polygon, 360.0 / parts, origin=origin)
        if polygon.symmetric_difference(turned).area < _SAME_SHARE * polygon.area:
            return 360.0 / parts
    return 360.0


def fit_warnings(run: Run) -> list[str]:
    """Say how measured motifs lie, and how far they are from the print."""
    fit = fit_of(run)
    if fit is None:
        return []
    if fit.is_as_printed:
        return [
            _(
                "As measured the print lies turned by {turn_deg:.2f} degrees, and is neither "
                "stretched nor skewed: the motifs are within {residual} of the print as it is.",
                turn_deg=round(fit.turn_deg, 2) + 0.0,
                residual=hundredths(fit.residual),
            )
        ]
    text = _(
        "As measured the print lies turned by {turn_deg:.2f} degrees, is {stretch_across:.1f} "
        "% as wide and {stretch_along:.1f} % as high as its repeat and skewed by "
        "{skew_deg:.2f} degrees. The motifs were measured up to {printed_residual:.2f} mm from "
        "the print as it is, only turned and moved",
        turn_deg=round(fit.turn_deg, 2) + 0.0,
        stretch_across=100.0 * fit.stretch_across,
        stretch_along=100.0 * fit.stretch_along,
        # No "-0.00", which rounding leaves of the least skew to the other side.
        skew_deg=round(fit.skew_deg, 2) + 0.0,
        printed_residual=fit.printed_residual,
    )
    if fit.is_exact:
        text += _("; three motifs fit cloth that lies askew exactly, so a fourth would check them.")
    else:
        text += _(", and up to {residual:.2f} mm from the cloth as fitted.", residual=fit.residual)
    warnings = [text]
    if fit.residual > _FAR:
        warnings.append(
            _(
                "The measured motifs do not fit one print: measure them again, and lay the "
                "cloth flat."
            )
        )
    return warnings


def layer_warnings(run: Run) -> list[str]:
    """Say that the motifs of several layers have to lie over each other."""
    if run.layers == 1:
        return []
    warning = _(
        "Lay the {layers} layers so that their motifs lie exactly over each other; pin them "
        "through the middles of motifs.",
        layers=run.layers,
    )
    return [warning]
