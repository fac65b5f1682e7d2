"""How long one of a kit's runs is searched for, and where its progress is reported."""

from __future__ import annotations

from geometry.layout.effort import Nester
from service.kits.limits import TimeLimit
from service.kits.progress import Progress, progress_of_run
from service.tools.layouts import LayoutSearch


def run_search(
    index: int,
    runs: int,
    nester: Nester | None,
    limit: TimeLimit | None,
    progress: Progress | None,
) -> LayoutSearch:
    """Return the search of a run.

    Args:
        index: of the run, from 0.
        runs: how many the kit has.
        nester: the library that is asked for fuller loads.
        limit: of the whole kit, which the runs share.
        progress: receives the progress of the whole kit.
    """
    time = None if limit is None else limit.of_run(index, runs)
    return LayoutSearch(nester, time, progress_of_run(progress, index, runs))
