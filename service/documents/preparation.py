"""Preparation of a run's material, and checks for a wrong test cut.

Sources are named beside each group; the rest is common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

#: One weight of paper throughout; one source of templates for a whole project: published by
#: several hand sewers. Pressing first: papers shrink by 1/16 to 1/8 in a sheet when ironed.
_PAPER: Final = (
    (
        "Use one weight of paper or card for the whole project, and do not mix these templates "
        "with hand-cut ones."
    ),
)
_COATED: Final = (
    "Press the sheet once with a hot dry iron before cutting: paper shrinks when it is ironed.",
    "Lay it shiny side down.",
)
#: Selvedges shrink more than the cloth; starch gives crisp cuts: published sewing guides.
_FABRIC: Final = (
    "Cut the selvedges off; press with starch or sizing and let it cool flat.",
    "Lay it right side up, unless another way is stated here.",
)
_STIFFENED: Final = (
    "Stiffen it first: starch well or bond it to its carrier, let it dry, press it flat.",
    "Cut the selvedges off and lay it right side up, unless another way is stated here.",
)
_VINYL: Final = ("Lay it with its backing down; only the film is cut through.",)
_MATERIALS: Final = {
    "paper": _PAPER,
    "card": _PAPER,
    "coated_paper": (*_COATED, *_PAPER),
    "fabric": _FABRIC,
    "stiffened_fabric": _STIFFENED,
    "vinyl": _VINYL,
}
#: Common practice; plies under a laser: see the cautions.
_TOOLS: Final = {
    "drag_blade": "Hold it flat on a carrier or sticky mat; set the blade's depth so that the "
    "carrier is only scored.",
    "indexed_blade": "Clamp it so that it cannot shift between two blade angles; mark its corner.",
    "laser": "Lay it flat with the air assist on; weigh down what curls.",
    "steel_rule_die": "Lay it over every rule with a margin all round, the ejection foam in place.",
    "pen": "Print at 100 %, measure, then cut on the line with rule and knife or scissors.",
}
_WRONG_ANYWHERE: Final = (
    (
        "Everything too large or too small by one factor: the file was scaled or read in other "
        "units. Load it again at 100 %, in millimetres."
    ),
)
#: Corners of a swivelling blade: published by a supplier of blades. Kerf: a university
#: laboratory's notes on measuring hole and part.
_WRONG: Final = {
    "drag_blade": (
        "Corners rounded: the blade's offset is set too small. Horns at corners: too large.",
    ),
    "indexed_blade": (
        (
            "Edges meet badly: the sheet moved between two angles, or the blade is not seated at "
            "its mark."
        ),
    ),
    "laser": (
        (
            "All sides off by the same amount: cut a test piece; kerf = (hole - part) / 2. State "
            "it as the cutter's kerf."
        ),
    ),
    "steel_rule_die": (
        (
            "All sides off by the same amount: ask the die's maker whether the inside, the outside "
            "or the middle of the rule was used."
        ),
    ),
    "pen": (),
}
#: University of Texas at Austin, "Prohibited laser cutter materials", and many others.
_NEVER: Final = (
    "BEFORE ANYTHING ELSE: read the material's safety data sheet. If it names PVC, vinyl chloride "
    "or chlorine, or if there is none, DO NOT CUT THIS RUN with a laser: it gives off hydrogen "
    "chloride, which harms lungs and machine. Cut it with a blade, or take another material."
)
_STACKS: Final = {
    "face_up": "all right side up",
    "face_to_face": "in pairs, right sides together",
}


def preparation(
    tool_kind: str,
    material_kind: str,
    *,
    layers: int = 1,
    stack: str = "face_up",
    kept_straight: Sequence[str] = (),
    reuse: int = 1,
    roll: bool = False,
    stacking: Sequence[str] = (),
) -> tuple[str, ...]:
    """Return how to prepare a run's material, in order.

    Args:
        tool_kind: of the cutter.
        material_kind: of the run.
        layers: plies that are cut at once.
        stack: how they are stacked.
        kept_straight: pieces that cannot be turned freely because of their grain.
        reuse: number of uses of each template.
        roll: whether the material comes off a roll.
        stacking: further instructions for stacking.
    """
    if (tool_kind, material_kind) == ("laser", "vinyl"):
        found = [_NEVER]
    else:
        found = list(_MATERIALS.get(material_kind, ()))
    if layers > 1:
        found.append(f"Stack {layers} layers, {_STACKS.get(stack, stack)}, their edges in line.")
    found.extend(stacking)
    if kept_straight:
        pieces = ", ".join(kept_straight)
        way = "along the roll, left to right in" if roll else "up"
        found.append(
            f"Lay the lengthwise grain (along the selvedge) {way} the picture: {pieces} may not be "
            "turned freely."
        )
    if tool_kind in _TOOLS:
        found.append(_TOOLS[tool_kind])
    if reuse > 1:
        found.append(f"Each template is used {reuse} times: keep them flat between two uses.")
    return tuple(found)


def remedies(tool_kind: str) -> tuple[str, ...]:
    """Return checks for a test cut of the wrong size."""
    return (*_WRONG.get(tool_kind, ()), *_WRONG_ANYWHERE)
