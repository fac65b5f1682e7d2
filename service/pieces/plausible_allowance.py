"""Seam allowances beside the size of their piece: mistakes of units, and what is merely odd.

Common practice, no source: seams have 5 to 15 mm, hems up to some centimetres. A hem may be wider
than its strip, so allowances are compared with the longer side; tiny pieces have large allowances.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from geometry.errors import GeometryError, GeometryFaults
from geometry.model.outline import Outline
from service.requests.edges import SeamAllowance
from service.texts import gettext as _

#: No seam has so much, and no hem of a piece that is smaller than its allowance, mm.
_NO_SEAM: Final = 50.0
#: What is odd on a piece that is less than twice as long, mm.
_WIDE: Final = 15.0


def require_plausible_allowance(template: Outline, stated: SeamAllowance) -> None:
    """Raise an error for each allowance that can only be a mistake of units.

    Raises:
        GeometryError: for a single one; ``where`` is its place in the allowance.
        GeometryFaults: for several.
    """
    longer = max(template.bounds.width, template.bounds.height)
    box = template.bounds
    faults = tuple(
        GeometryError(
            f"An allowance of {seam_allowance:g} mm is more than the whole piece, which is "
            f"{box.width:.4g} by {box.height:.4g} mm finished. Was another unit meant?",
            where=where,
        )
        for where, seam_allowance in _values(stated)
        if seam_allowance > max(_NO_SEAM, longer)
    )
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise GeometryFaults(faults)


def odd_allowances(template: Outline, stated: SeamAllowance) -> Iterator[str]:
    """Yield a warning where an allowance is wide beside its piece."""
    longer = max(template.bounds.width, template.bounds.height)
    seam_allowance = max(seam_allowance for _where, seam_allowance in _values(stated))
    if seam_allowance > max(_WIDE, longer / 2.0):
        yield _(
            "an allowance of {seam_allowance:.4g} mm is more than half of a piece that is "
            "{longer:.4g} mm long finished. Check its unit.",
            seam_allowance=seam_allowance,
            longer=longer,
        )


def _values(stated: SeamAllowance) -> Iterator[tuple[tuple[str, ...], float]]:
    """Yield every allowance with its place."""
    yield ("default",) if stated.edges else (), stated.default
    for number, seam_allowance in stated.edges.items():
        yield ("edges", str(number)), seam_allowance
