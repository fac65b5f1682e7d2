"""What the answer and the run sheet state of cutting on motifs."""

from __future__ import annotations

from geometry import units as lengths
from service.answers.motifs import MotifFitAnswer, MotifPlaceAnswer, MotifUseAnswer
from service.runs.motifs import first_motif_words, repeat_as_it_lies
from service.runs.planned_run import PlannedRun
from service.runs.sheet_position import has_place
from service.texts import gettext as _


def motif_answer(planned: PlannedRun) -> MotifUseAnswer | None:
    """Return what cutting on motifs takes; ``None`` for runs without."""
    use = planned.motif_use
    if use is None:
        return None
    first, fit = use.first, use.fit
    return MotifUseAnswer(
        material_mm2=use.material,
        free_material_mm2=use.free_material,
        material_share=use.material / use.free_material,
        first_motif=(
            None
            if first is None
            else MotifPlaceAnswer(x_mm=first.x, y_mm=first.y, turn_deg=first.turn_deg)
        ),
        fit=(
            None
            if fit is None
            else MotifFitAnswer(
                turn_deg=fit.turn_deg,
                width_share=fit.stretch_across,
                height_share=fit.stretch_along,
                skew_deg=fit.skew_deg,
                residual_mm=fit.residual,
                printed_residual_mm=fit.printed_residual,
                is_exact=fit.is_exact,
            )
        ),
    )


def motif_facts(planned: PlannedRun, units: str) -> list[tuple[str, str]]:
    """Return the run sheet's line about the print, if there is any."""
    print_, use = planned.run.material.motif, planned.motif_use
    if print_ is None or use is None:
        return []
    repeat = print_.repeat
    size = _size(repeat.width, repeat.height, units)
    words = _("repeat {size}", size=size)
    if repeat.drop:
        drop = lengths.format_length(repeat.drop, units)
        words = _("{repeat}, drop {drop}", repeat=words, drop=drop)
    if (as_it_lies := _size(*repeat_as_it_lies(planned.run), units)) != size:
        words = _("{repeat}; as measured {size}", repeat=words, size=as_it_lies)
    if (place := first_motif_words(planned.run, units)) and not has_place(planned.run):
        words = _("{repeat}; lay it with {place}", repeat=words, place=place)
    return [(_("Print"), words)]


def _size(width: float, height: float, units: str) -> str:
    return " x ".join(lengths.format_length(mm, units) for mm in (width, height))


def motif_steps(planned: PlannedRun, units: str) -> list[str]:
    """Return how printed cloth is measured and cut to size, before anything is loaded."""
    run = planned.run
    if run.material.motif is None or not run.anchors:
        return []
    steps = [
        _(
            "Then measure the print, over several repeats: one must be {size}, or have the files "
            "made again for this cloth.",
            # The files are made for the cloth as it was measured, and not for the print.
            size=_size(*repeat_as_it_lies(run), units),
        )
    ]
    if (place := first_motif_words(run, units)) and has_place(run):
        steps.append(_("Cut the cloth to size so that it has {place}.", place=place))
    return steps


def motif_figures(planned: PlannedRun) -> list[tuple[str, str]]:
    """Return how much more cloth motifs take, for the office."""
    use = planned.motif_use
    if planned.run.material.motif is None or use is None:
        return []
    more = round(100.0 * (use.material / use.free_material - 1.0))
    words = (
        _("{percent} % more cloth than without motifs", percent=more)
        if more >= 0
        else _("{percent} % less cloth than without motifs", percent=-more)
    )
    return [(_("Print"), words)]
