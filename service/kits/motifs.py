"""What the answer and the run sheet state of cutting on motifs."""

from __future__ import annotations

from geometry import units as lengths
from service.answers.motifs import MotifFitAnswer, MotifPlaceAnswer, MotifUseAnswer
from service.runs.loads import PlannedRun
from service.runs.motifs import first_motif_words
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
    size = " x ".join(lengths.format_length(mm, units) for mm in (repeat.width, repeat.height))
    parts = [_("repeat {size}", size=size)]
    if repeat.drop:
        drop = lengths.format_length(repeat.drop, units)
        parts[0] = _("repeat {size}, drop {drop}", size=size, drop=drop)
    if words := first_motif_words(planned.run, units):
        parts.append(_("lay it with {place}", place=words))
    more = round(100.0 * (use.material / use.free_material - 1.0))
    parts.append(
        _("{percent} % more cloth than without motifs", percent=more)
        if more >= 0
        else _("{percent} % less cloth than without motifs", percent=-more)
    )
    return [(_("Print"), "; ".join(parts))]
