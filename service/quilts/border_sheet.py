"""The borders of a planned quilt on its sheet: which strips go where, and how corners are made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from geometry.planning.cloth import Fabric
from geometry.units import format_length
from service.answers.quilt_sizes import BorderAnswer, BorderStripAnswer, JoinedStripsAnswer
from service.documents.page import PageSection
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.texts import ngettext

_PLACES = {"sides": _later("sides"), "ends": _later("ends")}
_CORNERS = {
    "butted": _later("butted corners"),
    "mitred": _later("mitred corners"),
    "cornerstones": _later("cornerstones"),
}
#: Common practice, no source.
_MITRED = _later(
    "Mitred corners: let the strips reach past the top by the same length at both ends. Sew each "
    "corner along the line from the inner corner to the outer one, then trim."
)
_BUTTED = _later("Butted corners: sew on the sides first, then the ends.")
_UPRIGHT = _later(
    "The print stands upright on every side: cut strips for the sides along the fabric, those for "
    "the ends across it."
)


def border_sections(
    borders: Sequence[BorderAnswer], fabric: Fabric, units: str
) -> Iterator[PageSection]:
    """Yield the section of a quilt's borders; none where it has none.

    Args:
        borders: from the inside out.
        fabric: whose ruler sizes as cut are rounded up to.
        units: of lengths.
    """
    if not borders:
        return
    facts = [
        (_("Border {number}", number=number), "; ".join(_parts(each, fabric, units)))
        for number, each in enumerate(borders, 1)
    ]
    made = {each.corners for each in borders if each.strips}
    how = {"butted": _BUTTED, "mitred": _MITRED}
    upright = [_(_UPRIGHT)] if fabric.directional and made else []
    yield PageSection(
        _("Borders, from the inside out"),
        facts=tuple(facts),
        items=(*upright, *(_(text) for corners, text in how.items() if corners in made)),
    )


def whole_strips(border: BorderAnswer) -> list[BorderStripAnswer]:
    """Return the strips of a border that are cut in one length."""
    joined = {place for each in border.joined_from for place in each.places}
    return [strip for strip in border.strips if strip.place not in joined]


def _parts(border: BorderAnswer, fabric: Fabric, units: str) -> Iterator[str]:
    """Yield what a border consists of, with sizes as cut."""
    if border.strips:
        yield border.colour
        yield _(_CORNERS[border.corners])
    for joined in border.joined_from:
        yield ngettext(
            "{places}: {n} strip {width} x {length}, joined end to end",
            "{places}: {n} strips {width} x {length}, joined end to end",
            joined.quantity,
            places=_(" and ").join(_(_PLACES[each]) for each in joined.places),
            width=format_length(fabric.by_ruler(joined.cut_width_mm), units),
            length=format_length(joined.cut_length_mm, units),
        )
        yield from _from_joined(border, joined, fabric, units)
    for strip in whole_strips(border):
        yield ngettext(
            "{places}: {n} strip {width} x {length}",
            "{places}: {n} strips {width} x {length}",
            strip.quantity,
            places=_(_PLACES[strip.place]),
            width=format_length(fabric.by_ruler(strip.cut_width_mm), units),
            length=format_length(fabric.by_ruler(strip.cut_length_mm), units),
        )
    if border.pieces:
        yield ngettext("{n} piece of the kit", "{n} pieces of the kit", border.pieces)


def _from_joined(
    border: BorderAnswer, joined: JoinedStripsAnswer, fabric: Fabric, units: str
) -> Iterator[str]:
    """Yield what is cut from strips once they are joined."""
    for strip in border.strips:
        if strip.place in joined.places:
            yield ngettext(
                "then {n} for the {places}, {length} long",
                "then {n} for the {places}, each {length} long",
                strip.quantity,
                places=_(_PLACES[strip.place]),
                length=format_length(fabric.by_ruler(strip.cut_length_mm), units),
            )
