"""How far a quilt's plan is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeAlias, TypeVar

T = TypeVar("T")
#: Receives the share of the whole work that is done, 0 to 1, and what is being done, in words.
PlanProgress: TypeAlias = Callable[[float, str], None]
#: Shares of the work at which fabrics begin and templates do, as usual plans take their time.
_FABRICS, _TEMPLATES = 0.1, 0.6


def fabrics_reported(
    names: Iterable[tuple[str, T]], count: int, progress: PlanProgress | None
) -> Iterator[tuple[str, T]]:
    """Yield fabrics, and report each before it is calculated."""
    for index, (name, found) in enumerate(names):
        if progress is not None:
            share = _FABRICS + (_TEMPLATES - _FABRICS) * index / count
            progress(share, f"Fabric {index + 1} of {count}")
        yield name, found


def report_templates(progress: PlanProgress | None) -> None:
    """Report that templates are laid out."""
    if progress is not None:
        progress(_TEMPLATES, "Templates")
