"""The gap between the pieces of a run: what its tool can cut, and where neighbours share lines."""

from __future__ import annotations

from dataclasses import replace

from service.errors import Change
from service.requests.runs import Run
from service.runs.notices import curable, hundredths
from service.texts import gettext as _
from service.tools import kind_of

#: A gap short of the rules' least distance by less than this, mm, is rounding.
_ROUNDING = 1.0e-6


def shares_lines(run: Run) -> bool:
    """Return whether edges of neighbours are cut once: at no gap, or where the tool fills it."""
    shared = kind_of(run.cutter.tool).common_line_gap_mm(run.cutter.tool)
    return run.common_line and (run.gap <= _ROUNDING or abs(run.gap - shared) <= _ROUNDING)


def with_min_gap(run: Run) -> tuple[Run, list[str]]:
    """Return a run with a gap that its tool can cut, and what to say of it."""
    kind = kind_of(run.cutter.tool)
    least = kind.min_gap_mm(run.cutter.tool)
    if (run.common_line and run.gap <= _ROUNDING) or run.gap >= least - _ROUNDING:
        return run, _apart(run)
    warning = _(
        "A gap of {gap:.4g} mm was asked for; {min_gap_reason}: the pieces are laid out "
        "{least:.2f} mm apart.",
        gap=run.gap,
        min_gap_reason=kind.min_gap_reason(run.cutter.tool),
        least=least,
    )
    wide = hundredths(least)
    return replace(run, gap=least), [
        curable(warning, f"Ask for a gap of {wide}", Change("/gap", wide))
    ]


def _apart(run: Run) -> list[str]:
    """Say that common lines were asked for, but that the gap leaves none."""
    if not run.common_line or shares_lines(run):
        return []
    warning = _(
        "Common lines were asked for, but pieces {gap:.4g} mm apart share none: each is cut by "
        "itself.",
        gap=run.gap,
    )
    wide = f"{kind_of(run.cutter.tool).common_line_gap_mm(run.cutter.tool):g} mm"
    return [curable(warning, f"Ask for a gap of {wide}", Change("/gap", wide))]
