"""Preparation of a run's material, and checks for a wrong test cut.

Sources are named beside each group; the rest is common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from service.requests.materials import CLOTH
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.tools.kind import ToolKind

#: One weight of paper throughout; one source of templates for a whole project: published by
#: several hand sewers. Pressing first: papers shrink by 1/16 to 1/8 in a sheet when ironed.
_PAPER: Final = (
    (
        _later(
            "Use one weight of paper or card for the whole project, and do not mix these templates "
            "with hand-cut ones."
        )
    ),
)
_COATED: Final = (
    _later(
        "Press the sheet once with a hot dry iron before cutting: paper shrinks when it is ironed."
    ),
    _later("Lay it shiny side down."),
)
#: Selvedges shrink more than the cloth; starch gives crisp cuts: published sewing guides. Felt is
#: not woven: it has no selvedge, and starch does nothing for it (common practice, no source).
_FABRIC: Final = (
    _later(
        "Woven cloth: cut the selvedges off, press with starch or sizing, let it cool flat. Felt "
        "and other unwoven cloth: press flat, nothing to trim."
    ),
)
_STIFFENED: Final = (
    _later("Stiffen it first: starch well or bond it to its carrier, let it dry, press it flat."),
    _later("Cut the selvedges off, if it has any."),
)
_VINYL: Final = (_later("Lay it with its backing down; only the film is cut through."),)
#: Common practice: a blade set to the film of the upper sheet does not reach the lower ones.
_VINYL_STACKED: Final = (
    _later(
        "A stack of vinyl is cut through whole, with all films and backings: set the depth on a "
        "spare stack."
    ),
)
_MATERIALS: Final = {
    "paper": _PAPER,
    "card": _PAPER,
    "coated_paper": (*_COATED, *_PAPER),
    "fabric": _FABRIC,
    "stiffened_fabric": _STIFFENED,
    "vinyl": _VINYL,
}
_WRONG_ANYWHERE: Final = (
    (
        _later(
            "Everything too large or too small by one factor: the file was scaled or read in other "
            "units. Load it again at 100 %, in millimetres."
        )
    ),
)
_WITHOUT_SELVEDGE: Final = frozenset({"paper", "card", "coated_paper", "vinyl"})
#: What has no right side that matters here.
_EITHER_SIDE: Final = frozenset({"paper", "card"})


def preparation(  # noqa: PLR0913 - facts of a run, by keywords
    kind: ToolKind[Any] | None,
    material_kind: str,
    *,
    hold: str = "",
    layers: int = 1,
    stack: str = "face_up",
    kept_straight: Sequence[str] = (),
    one_way: Sequence[str] = (),
    reuse: int = 1,
    roll: bool = False,
    stacking: Sequence[str] = (),
    wrong_side_up: bool = False,
    any_grain: Sequence[str] = (),
) -> tuple[str, ...]:
    """Return how to prepare a run's material, in order.

    Args:
        kind: of the cutter's tool, if it is known.
        material_kind: of the run.
        hold: how it is held, if not as the tool's kind says.
        layers: plies that are cut at once.
        stack: how they are stacked.
        kept_straight: pieces that cannot be turned freely because of their grain.
        one_way: those of them that lie one way only, their tops up.
        reuse: number of uses of each template.
        roll: whether the material comes off a roll.
        stacking: further instructions for stacking.
        wrong_side_up: whether cloth lies so, because the tool draws on it.
        any_grain: pieces of cloth that may lie at any turn.
    """
    read_first = None if kind is None else kind.must_read_first(material_kind)
    first = [read_first] if read_first else _of_material(material_kind, layers)
    found = [_(each) for each in first]
    if layers == 1 and (side := _side_up(material_kind, wrong=wrong_side_up)):
        found.append(side)
    if layers > 1:
        found.append(_stacked(stack, wrong=wrong_side_up).format(layers=layers))
    found.extend(stacking)
    if kept_straight:
        found.append(_straight(material_kind, ", ".join(kept_straight), roll=roll))
    if any_grain and material_kind in CLOTH:
        found.append(_any_grain("" if not kept_straight else ", ".join(any_grain)))
    if one_way and material_kind in CLOTH:
        found.append(_one_way(", ".join(one_way), roll=roll))
    found += [] if kind is None else [hold or _(kind.preparation)]
    if reuse > 1:
        kept = _("Each template is used {times} times: keep them flat between two uses.")
        found.append(kept.format(times=reuse))
    return tuple(found)


def _of_material(material_kind: str, layers: int) -> Sequence[str]:
    stacked = material_kind == "vinyl" and layers > 1
    return _VINYL_STACKED if stacked else _MATERIALS.get(material_kind, ())


def _stacked(stack: str, *, wrong: bool) -> str:
    """Return how several layers are stacked."""
    if stack != "face_up":
        return _("Stack {layers} layers, in pairs, right sides together, their edges in line.")
    if wrong:
        return _(
            "Stack {layers} layers, all wrong side up, their edges in line: what is drawn comes "
            "on the side that is up."
        )
    return _("Stack {layers} layers, all right side up, their edges in line.")


def _side_up(material_kind: str, *, wrong: bool) -> str:
    """Return which side of a single layer is up; empty where the material's own steps say it."""
    if material_kind in CLOTH and wrong:
        return _("Lay it wrong side up: what is drawn comes on the side that is up.")
    if material_kind in CLOTH:
        return _("Lay it right side up.")
    if material_kind in _EITHER_SIDE:
        return _("Either side may be up.")
    return _("If it has a right side, lay that up.") if material_kind == "other" else ""


def _straight(material_kind: str, pieces: str, *, roll: bool) -> str:
    """Return how to lay a material for pieces whose grain matters; paper has no selvedge."""
    if material_kind in _WITHOUT_SELVEDGE:
        how = (
            _("The roll runs from left to right in the picture: {pieces} may not be turned freely.")
            if roll
            else _(
                "Lay the sheet the way up that the picture shows: {pieces} may not be turned "
                "freely."
            )
        )
    elif roll:
        how = _(
            "Lay the lengthwise grain (along the selvedge) along the roll, left to right in the "
            "picture: {pieces} may not be turned freely. Arrows in the pictures run along it."
        )
    else:
        how = _(
            "Lay the lengthwise grain (along the selvedge) up the picture: {pieces} may not be "
            "turned freely. Arrows in the pictures run along it."
        )
    return how.format(pieces=pieces)


def _any_grain(pieces: str) -> str:
    """Return that the grain of some pieces may run any way; of all of them without names."""
    if not pieces:
        return _("The grain may run any way.")
    return _("The grain of {pieces} may run any way.", pieces=pieces)


def _one_way(pieces: str, *, roll: bool) -> str:
    """Return where the tops of pieces lie that are not turned, for a nap or a print."""
    how = (
        _(
            "The tops of {pieces} all point to the left of the picture, as its arrows do: lay a "
            "nap or a one-way print to suit, the same way for every load."
        )
        if roll
        else _(
            "The tops of {pieces} all point up the picture, as its arrows do: lay a nap or a "
            "one-way print to suit, the same way for every load."
        )
    )
    return how.format(pieces=pieces)


def remedies(kind: ToolKind[Any] | None) -> tuple[str, ...]:
    """Return checks for a test cut of the wrong size."""
    found = (*(kind.remedies if kind is not None else ()), *_WRONG_ANYWHERE)
    return tuple(_(each) for each in found)
