"""Preparation of a run's material, and checks for a wrong test cut.

Sources are named beside each group; the rest is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.tools.cloth import CLOTH
from service.tools.kind import ToolKind

#: One weight of paper throughout; one source of templates for a whole project: published by
#: several hand sewers. Pressing first: papers shrink by 1/16 to 1/8 in a sheet when ironed.
_PAPER: Final = (
    (
        _later(
            "Use one weight of paper or card for the whole project, and do not mix these templates "
            "with others."
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
#: not woven: it has no selvedge, and starch does nothing for it. Starching shrinks cloth, so that
#: it comes before cutting to size (common practice, no source).
_FABRIC: Final = (
    _later(
        "First press the cloth with starch or sizing and let it cool flat (felt: only press it), "
        "then cut the selvedges off, and only then cut it to the size below."
    ),
    _later(
        "First press the cloth with starch or sizing and let it cool flat (felt: only press it). "
        "Mark the lengthwise grain (along the selvedge) on every piece, then cut the selvedges "
        "off, and only then cut to the size below."
    ),
    _later("First press the cloth with starch or sizing and let it cool flat (felt: only press)."),
)
_STIFFENED: Final = (
    _later(
        "First stiffen the cloth: starch it well or bond it to a carrier, dry and press it. Then "
        "cut the selvedges off, then cut it to the size below."
    ),
    _later(
        "First stiffen the cloth: starch it well or bond it to a carrier, dry and press it. Mark "
        "the lengthwise grain (along the selvedge) on every piece, then cut the selvedges off, "
        "then cut to the size below."
    ),
    _later("First stiffen the cloth: starch it well or bond it to a carrier, dry and press it."),
)
#: How each kind of cloth is readied: in pieces, in pieces whose grain matters, and on a roll.
_CLOTHS: Final = {"fabric": _FABRIC, "stiffened_fabric": _STIFFENED}
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
    "vinyl": _VINYL,
}
_WRONG_ANYWHERE: Final = (
    (
        _later(
            "Everything off by one factor: the file was scaled or read in other units. Load it at "
            "100 %, as a file in {units} (this sheet's units do not matter)."
        )
    ),
)
_DIE_ANYWHERE: Final = _later(
    "Everything too large or too small by one factor: the die was made at a wrong scale. Do not "
    "press the loads; send it back with this sheet."
)
_PRINT_ANYWHERE: Final = _later(
    "Everything too large or too small by one factor: the printer fitted it to the page. Set "
    "printing to 100 % and print again."
)
_WITHOUT_SELVEDGE: Final = frozenset({"paper", "card", "coated_paper", "vinyl"})
#: Layers of a stack face to face that is a single pair.
_PAIR: Final = 2
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
    roll_end: str = "",
    stacking: Sequence[str] = (),
    wrong_side_up: bool = False,
    any_grain: Sequence[str] = (),
    needed: Sequence[str] = (),
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
        roll: whether the bed is a roll's, along which the lengthwise grain runs.
        roll_end: how a roll's end and selvedges are readied, if the material comes off a roll.
        stacking: further instructions for stacking.
        wrong_side_up: whether cloth lies so, because the tool draws on it.
        any_grain: pieces of cloth that may lie at any turn.
        needed: what to get ready, and how large.
    """
    found = list(_readied(kind, material_kind, layers, needed, kept_straight, roll_end=roll_end))
    if layers == 1 and (side := _side_up(material_kind, wrong=wrong_side_up)):
        found.append(side)
    if layers > 1:
        found.append(_stacked(stack, layers, wrong=wrong_side_up).format(layers=layers))
    found.extend(stacking)
    found.extend(_grain(material_kind, kept_straight, any_grain, one_way, roll=roll))
    found += [] if kind is None else [hold or _(kind.preparation)]
    if reuse > 1:
        kept = _("Each template is used {times} times: keep them flat between two uses.")
        found.append(kept.format(times=reuse))
    return tuple(found)


def _readied(
    kind: ToolKind[Any] | None,
    material_kind: str,
    layers: int,
    needed: Sequence[str],
    straight: Sequence[str],
    *,
    roll_end: str,
) -> Iterator[str]:
    """Yield how the material is prepared and cut to size: cloth shrinks, so it is cut last."""
    if kind is not None:
        yield from (_(each) for each in kind.first_steps(material_kind))
        if kind.is_beam and layers > 1:
            yield _(
                "Ask who allows a stack here: each load has a line for the name. Without leave, "
                "test and cut single layers."
            )
        if read_first := kind.must_read_first(material_kind):
            yield _(read_first)
            yield from needed
            return
    if material_kind not in _CLOTHS:
        yield from (*needed, *(_(each) for each in _of_material(material_kind, layers)))
        return
    in_pieces, with_grain, on_roll = _CLOTHS[material_kind]
    yield _(on_roll if roll_end else with_grain if straight else in_pieces)
    if roll_end:
        yield roll_end
    yield from needed


def _of_material(material_kind: str, layers: int) -> Sequence[str]:
    stacked = material_kind == "vinyl" and layers > 1
    return _VINYL_STACKED if stacked else _MATERIALS.get(material_kind, ())


def _stacked(stack: str, layers: int, *, wrong: bool) -> str:
    """Return how several layers are stacked."""
    if stack != "face_up" and layers == _PAIR:
        return _("Stack {layers} layers, right sides together, their edges in line.")
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


def _grain(
    material_kind: str,
    kept_straight: Sequence[str],
    any_grain: Sequence[str],
    one_way: Sequence[str],
    *,
    roll: bool,
) -> Iterator[str]:
    """Yield how the grain lies, of pieces with a top in the sentence about that."""
    is_cloth = material_kind in CLOTH
    is_said = is_cloth and set(kept_straight) == set(one_way)
    if kept_straight and material_kind not in _EITHER_SIDE and not is_said:
        yield _straight(material_kind, ", ".join(kept_straight), roll=roll)
    if any_grain and is_cloth:
        yield _any_grain("" if not kept_straight else ", ".join(any_grain))
    if one_way and is_cloth:
        yield _one_way(", ".join(one_way), roll=roll)


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
    """Return where the tops of pieces lie that are not turned, for a nap or a print.

    A nap that runs down the finished work is common practice, no source.
    """
    how = (
        _(
            "Lay the lengthwise grain along the roll, left to right in the picture. The tops of "
            "{pieces} point to the left, as the arrows do, and so does the top of a one-way print; "
            "a nap feels smooth when stroked from left to right. If it is rough that way, cut the "
            "load's length off, turn it round, and straighten the end that then lies at the left."
        )
        if roll
        else _(
            "Lay the lengthwise grain (along the selvedge) up the picture. The tops of {pieces} "
            "point up, as the arrows do, and so does the top of a one-way print; a nap feels "
            "smooth when stroked downwards. Lay every load so."
        )
    )
    return how.format(pieces=pieces)


def remedies(
    kind: ToolKind[Any] | None, *, file_units: str = "mm", printed: bool = False
) -> tuple[str, ...]:
    """Return checks for a test cut of the wrong size.

    Args:
        kind: of the cutter's tool, if it is known.
        file_units: of the file that was cut, ``mm`` or ``in``.
        printed: whether it was printed instead, as a page.
    """
    if printed:
        return (_(_PRINT_ANYWHERE),)
    if kind is not None and kind.is_pressed:
        return tuple(_(each) for each in (*kind.remedies, _DIE_ANYWHERE))
    own = kind.remedies if kind is not None else ()
    units = _("inches") if file_units == "in" else _("millimetres")
    return (*(_(each) for each in own), *(_(each).format(units=units) for each in _WRONG_ANYWHERE))
