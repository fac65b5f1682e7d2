"""Cautions for tools and materials; they always defer to manuals and local codes.

Sources stand beside each group. Where published advice conflicts, both sides are given.
"""

from __future__ import annotations

from typing import Final

#: Common practice; stands on every sheet.
GENERAL: Final = (
    (
        "This sheet is general information. The machine's own manual, the material's safety data "
        "sheet, local codes and the rules of your workplace come first; where the law asks for a "
        "trained, licensed or appointed person (for instance a laser safety officer), follow that "
        "person."
    ),
    "Make a test cut in a corner of the sheet and measure it before the first load.",
)

#: Blades: University of Southern California EHS, "Cutting safety"; tool-box talks on knives.
#: Stopping before reaching in: common practice.
_BLADE: Final = (
    (
        "Keep fingers, hair and sleeves away from the moving head; stop the machine and switch it "
        "off before you clear a jam or change or turn the blade."
    ),
    "Change blades with pliers, never by fingers; keep used blades in a closed, marked tin.",
    "No pins in work that goes under a blade: count them in and count them out.",
)
#: Lasers: University of Wisconsin EHS, "Laser cutter safety"; University of the Arts London,
#: laboratory wiki; University of Texas at Austin, "Prohibited laser cutter materials".
_LASER: Final = (
    (
        "Never leave a running laser, not for any time. Keep an extinguisher at hand and know how "
        "to use it; a small flame may be normal, a flame that stays is a fire."
    ),
    (
        "Never defeat an interlock: the beam inside can injure eye and skin. Exhaust to the "
        "outside and wait before opening the lid."
    ),
    (
        "Never cut vinyl (PVC), imitation leather, anything with chlorine, or an unknown material: "
        "the fumes harm lungs and machine."
    ),
    "Keep the bed and the crumb tray clean; scraps of paper and lint catch fire.",
)
#: Presses: OSHA interpretation of 13 June 1978 on platen presses; 29 CFR 1910.217(d)(1).
_DIE: Final = (
    (
        "Keep fingers out of the press while it can close; use its guard and two-hand trip, and "
        "hand tools to free stuck work."
    ),
    "The rule's edge is a razor: carry a die by its board and store it edge down or covered.",
)
#: Rotary hand cutters: University of Kentucky 4-H guides and teachers' pages on guards.
_PEN: Final = (
    (
        "Cutting by hand: cut away from the body, free hand out of the path; close a rotary "
        "cutter's guard after each cut and keep it from children."
    ),
)

_TOOLS: Final = {
    "drag_blade": _BLADE,
    "indexed_blade": (
        "Turn the blade only with the machine stopped and the head raised.",
        *_BLADE,
    ),
    "laser": _LASER,
    "steel_rule_die": _DIE,
    "pen": _PEN,
}

_FLARES: Final = (
    "Paper and card light easily under a beam: air assist, low power, one layer, and watch it.",
)
#: Freezer paper: one university lists it with laser settings (Iowa State University, College of
#: Design), another forbids polyethylene (University of Texas at Austin). Both are given.
_COATED: Final = (
    (
        "Coated paper (freezer paper) is coated with polyethylene: cut it only where your laser's "
        "owner allows coated paper, and expect flare-up and smoke. Some workplaces forbid it."
    ),
)
_LASER_MATERIALS: Final = {
    "paper": _FLARES,
    "card": _FLARES,
    "coated_paper": (*_COATED, *_FLARES),
    "fabric": (
        (
            "Cut pure cotton only: polyester and nylon melt and burn, and some workplaces forbid "
            "blends. The cut edge is browned; it washes out."
        ),
    ),
    "stiffened_fabric": (
        (
            "Ask for the stiffener's data sheet before it goes under a beam: glue-backed and "
            "coated cloth smokes, melts and fouls the optics, and some workplaces forbid it."
        ),
    ),
    "vinyl": (
        (
            "DO NOT CUT PVC VINYL WITH A LASER: it gives off hydrogen chloride, which harms lungs "
            "and machine. This run was made because it was stated that the material's safety data "
            "sheet allows a laser: read that sheet yourself first, and do not cut if in doubt."
        ),
    ),
    "other": (
        (
            "Find out what this material is before it goes under a beam, and read its safety data "
            "sheet; if you cannot, do not cut it."
        ),
    ),
}
#: Kinds that a laser cuts only where the request says that the data sheet allows it.
DOUBTFUL: Final = ("vinyl", "other")
_MATERIALS: Final = {
    "coated_paper": ("Ironing coated paper: hot dry iron, heat-proof mat, unplug it afterwards.",),
    "vinyl": ("Vinyl: no heat; a laser only where its safety data sheet allows one.",),
}


def cautions(tool_kind: str, material_kind: str) -> list[str]:
    """Return the cautions for a tool and a material, the general ones first.

    An unknown tool or material gets the general ones. The danger of poisoning comes first:
    materials that a laser may cut only according to the caller.
    """
    found = [*GENERAL, *_TOOLS.get(tool_kind, ())]
    if tool_kind == "laser":
        of_material = _LASER_MATERIALS.get(material_kind, _LASER_MATERIALS["other"])
        doubtful = material_kind not in _LASER_MATERIALS or material_kind in DOUBTFUL
        found = [*of_material, *found] if doubtful else [*found, *of_material]
    found.extend(_MATERIALS.get(material_kind, ()))
    return found
