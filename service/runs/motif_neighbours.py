"""Pieces a little too large to lie on neighbouring motifs of a print, and what would cure that."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from geometry.layout import Item
from geometry.layout.motifs.neighbours import slight_overlaps
from geometry.layout.motifs.on_motifs import MotifTask
from service.requests.runs import Run
from service.runs.motifs import cloth_of
from service.runs.notices import hundredths
from service.runs.planned_run import PlannedRun
from service.texts import gettext as _
from service.tools import kind_of

#: A gap that is larger than needed by less than this, mm, is rounding.
_ROUNDING = 1.0e-6


def neighbour_warnings(planned: PlannedRun, items: Sequence[Item]) -> Iterator[str]:
    """Yield which pieces leave out the motifs beside them, though they are hardly too large."""
    run, found = planned.run, dict[str, float]()
    # A single piece leaves out no motif that another would be cut from.
    several = [item for item in items if run.fills or item.quantity > 1]
    for part in planned.parts.values() or (planned,):
        task = MotifTask(several, part.room, run.gap, cloth_of(part.run), run.anchors)
        for piece, size in slight_overlaps(task).items():
            found[piece] = max(size, found.get(piece, 0.0))
    for piece, size in found.items():
        yield _warning(run, piece, size)


def _warning(run: Run, piece: str, size: float) -> str:
    # What is left out is rounded up, so that it is enough on both sides.
    values = {"piece": piece, "size": hundredths(size), "less": hundredths(size / 2.0)}
    if not run.gap:
        return _(
            'On neighbouring motifs pieces "{piece}" would overlap by {size}, so motifs beside '
            "them are left out. Made {less} smaller on every side, they lie on each motif.",
            **values,
        )
    values["gap"] = f"{run.gap:.4g} mm"
    text = _(
        'On neighbouring motifs pieces "{piece}" would lie {size} too near for the gap of {gap}, '
        "so motifs beside them are left out.",
        **values,
    )
    nearer = run.gap - size + _ROUNDING
    if nearer < kind_of(run.cutter.tool).min_gap_mm(run.cutter.tool):
        how = _("Made {less} smaller on every side, they lie on each motif.", **values)
    else:
        # Rounded down, or they would be too near again.
        how = _(
            "Made {less} smaller on every side, or with a gap of {nearer}, they lie on each motif.",
            nearer=f"{int(100.0 * nearer) / 100.0:g} mm",
            **values,
        )
    return f"{text} {how}"
