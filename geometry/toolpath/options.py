"""The options of a run's tool paths."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.toolpath.route import BEST, Search
from geometry.toolpath.ties import Ties


@dataclass(frozen=True)
class PlanOptions:
    """The options of a run's tool paths.

    ``ties`` are those of each outline, with a count of 0 for none and ``None`` for the default.
    ``max_mismatch_deg`` limits the angle between a hand-set blade and an edge; ``None`` for the
    smallest that the blade's positions guarantee. ``search`` is the effort for short travel.
    ``loading`` is the operator's instruction for loading the material.
    """

    common_line: bool = False
    ties: Ties | None = None
    material: str = ""
    material_kind: str = ""
    loading: str = ""
    max_mismatch_deg: float | None = None
    search: Search = BEST
