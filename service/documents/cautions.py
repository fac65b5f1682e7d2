"""Cautions for every run; those of a tool stand in its module.

All defer to manuals and local codes. Where published advice conflicts, both sides are given.
"""

from __future__ import annotations

from typing import Any, Final

from service.texts import gettext_noop as _
from service.tools.kind import ToolKind

#: Common practice; stands on every sheet.
GENERAL: Final = (
    (
        _(
            "This sheet is general information. The machine's own manual, the "
            "material's safety data sheet, local codes and the rules of your workplace "
            "come first; where the law asks for a trained, licensed or appointed person, "
            "follow that person."
        )
    ),
    _("Make a test cut in spare material and measure it before the first load."),
)

_MATERIALS: Final = {
    "coated_paper": (
        _("Ironing coated paper: hot dry iron, heat-proof mat, unplug it afterwards."),
    ),
}
#: Of what a beam does to vinyl the laser's own cautions speak.
_VINYL: Final = (_("Vinyl: no heat, and never in a laser."),)


def cautions(kind: ToolKind[Any] | None, material_kind: str) -> list[str]:
    """Return the cautions for a tool and a material, the general ones first.

    An unknown tool or material gets the general ones. The tool's dangers come before all others.
    """
    of_material = _MATERIALS.get(material_kind, ())
    if material_kind == "vinyl" and not (kind and kind.is_beam):
        of_material = _VINYL
    if kind is None:
        return [*GENERAL, *of_material]
    return [
        *kind.dangers(material_kind),
        *GENERAL,
        *kind.cautions,
        *kind.material_cautions(material_kind),
        *of_material,
    ]
