"""What a beam does to each material: the cautions of a laser's run sheet."""

from __future__ import annotations

from typing import Final

from service.texts import gettext_noop as _

#: Kinds that a laser cuts only where the request says that the data sheet allows it.
DOUBTFUL: Final = ("vinyl", "other")
_FLARES: Final = (
    _("Paper and card light easily under a beam: air assist, low power, one layer, and watch it."),
)
#: Freezer paper: one university lists it with laser settings (Iowa State University, College of
#: Design), another forbids polyethylene (University of Texas at Austin). Both are given.
_COATED: Final = (
    (
        _(
            "Coated paper (freezer paper) is coated with polyethylene: cut it only "
            "where your laser's owner allows coated paper, and expect flare-up and "
            "smoke. Some workplaces forbid it."
        )
    ),
)
#: By the kind of material.
MATERIALS: Final = {
    "paper": _FLARES,
    "card": _FLARES,
    "coated_paper": (*_COATED, *_FLARES),
    "fabric": (
        (
            _(
                "Know the fibre before you cut cloth: polyester, nylon and acrylic, also in "
                "blends and in many felts, melt and burn, and a pile flares up. Some workplaces "
                "allow pure cotton only. The cut edge is browned; on cotton this washes out."
            )
        ),
    ),
    "stiffened_fabric": (
        (
            _(
                "Ask for the stiffener's data sheet before it goes under a beam: glue-backed and "
                "coated cloth smokes, melts and fouls the optics, and some workplaces forbid it."
            )
        ),
    ),
    "vinyl": (
        (
            _(
                "DO NOT CUT PVC VINYL WITH A LASER: it gives off hydrogen chloride, "
                "which harms lungs and machine. This run was made because it was stated"
                " that the material's safety data sheet allows a laser: read that sheet"
                " yourself first, and do not cut if in doubt."
            )
        ),
    ),
    "other": (
        (
            _(
                "Find out what this material is before it goes under a beam, and read "
                "its safety data sheet; if you cannot, do not cut it."
            )
        ),
    ),
}
#: University of Texas at Austin, "Prohibited laser cutter materials", and many others.
NEVER_VINYL: Final = _(
    "BEFORE ANYTHING ELSE: read the material's safety data sheet. If it names PVC, vinyl chloride "
    "or chlorine, or if there is none, DO NOT CUT THIS RUN with a laser: it gives off hydrogen "
    "chloride, which harms lungs and machine. Cut it with a blade, or take another material."
)
#: For cloth, whose fibre no request states. Common practice, no source.
FIBRE: Final = _(
    "Write down the fibre of this cloth: ____________ (it stands on the bolt or on the bill). If "
    "nobody knows it, do not cut it with a laser."
)
VOUCH: Final = (
    'Only if this very material\'s safety data sheet allows it, state "laser_safe": true in '
    "the material."
)
