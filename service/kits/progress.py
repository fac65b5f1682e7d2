"""How far the work on a kit is."""

from __future__ import annotations

from collections.abc import Callable

#: Receives the share of the whole work that is done, 0 to 1, and what was just done, in words.
Progress = Callable[[float, str], None]
#: Share of a run's work that its layout takes; its files take the rest.
_LAYOUT_SHARE = 0.7


def progress_of_run(progress: Progress | None, index: int, runs: int) -> Progress | None:
    """Return what tells the progress of one run's layout as a share of the whole work."""
    if progress is None:
        return None

    most = 0.0

    def report(share: float, message: str) -> None:
        # A layout that is begun again with other turns does not take back what was reported.
        nonlocal most
        most = max(most, share)
        progress((index + _LAYOUT_SHARE * most) / (runs + 1), f"Run {index + 1}: {message}")

    return report
