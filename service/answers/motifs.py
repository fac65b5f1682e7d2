"""Answers about cutting on the motifs of a print."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated


@dataclass(frozen=True, kw_only=True)
class MotifPlaceAnswer:
    """The middle of one motif on the bed."""

    x_mm: Annotated[float, "from the bed's left edge"]
    y_mm: Annotated[float, "from its lower edge"]
    turn_deg: float


@dataclass(frozen=True, kw_only=True)
class MotifFitAnswer:
    """How cloth lies, by the motifs that were measured on it."""

    turn_deg: float
    width_share: Annotated[float, "of the repeat as it lies over the repeat as printed"]
    height_share: float
    skew_deg: Annotated[float, "by how much less than a right angle lies between width and height"]
    residual_mm: Annotated[
        float,
        "largest distance of a measured motif from the cloth as fitted. That is a turn and a move "
        "where `printed_residual_mm` is at most 0.05: less than shows a stretch. Else it is a "
        "turn, a move, two stretches and a skew, by least squares: 0 for three motifs, which fit "
        "exactly",
    ]
    printed_residual_mm: Annotated[
        float,
        "largest distance of a measured motif from the print as it is, only turned and moved",
    ]
    is_exact: Annotated[
        bool,
        "whether just three motifs were fitted with stretch and skew, so that nothing is checked",
    ]


@dataclass(frozen=True, kw_only=True)
class MotifUseAnswer:
    """What cutting on motifs takes, beside free cutting of the same pieces."""

    material_mm2: Annotated[float, "of the used strips of all loads"]
    free_material_mm2: Annotated[float, "of the same pieces laid out without regard to the print"]
    material_share: Annotated[float, "the first over the second"]
    first_motif: Annotated[
        MotifPlaceAnswer | None, "the motif nearest to the cloth's lower left corner"
    ] = None
    fit: Annotated[MotifFitAnswer | None, "where motifs were measured"] = None
