"""Binding, backing and batting on the sheet of a planned quilt, in words."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.units import format_length
from service.answers.finishing import BindingAnswer, PanelsAnswer, PanelsForAllAnswer
from service.answers.quilts import MaterialsAnswer
from service.quilts.length_text import sides_text
from service.texts import gettext as _
from service.texts import ngettext


def finishing_facts(materials: MaterialsAnswer, units: str) -> Iterator[tuple[str, str]]:
    """Yield what one quilt takes and, where several are planned, all of them."""
    finish, every = materials.finish, materials.finishing_for_all
    batting = finish.batting
    size = sides_text(batting.width_mm, batting.length_mm, units)
    if every is None:
        yield _("Binding"), _binding(finish.binding, units)
        yield _("Backing"), _panels(finish.backing.chosen, units)
        yield _("or"), _panels(finish.backing.alternative, units)
        yield _("Batting"), size
        return
    strips = ngettext("{n} strip", "{n} strips", every.binding.strips)
    yield (
        _("Binding"),
        _(
            "for each quilt {one}; for all {quilts} together: {buy}, {strips}",
            one=_binding(finish.binding, units),
            quilts=every.battings,
            buy=every.binding.buy,
            strips=strips,
        ),
    )
    quilts = every.battings
    backing = every.backing
    yield _("Backing"), _for_all(finish.backing.chosen, backing.chosen, quilts, units)
    yield _("or"), _for_all(finish.backing.alternative, backing.alternative, quilts, units)
    yield _("Batting"), _("for each quilt {size}, {quilts} in all", size=size, quilts=quilts)


def _for_all(one: PanelsAnswer, every: PanelsForAllAnswer, quilts: int, units: str) -> str:
    return _(
        "for each quilt {one}; for all {quilts} together: {buy}",
        one=_panels(one, units),
        quilts=quilts,
        buy=every.buy,
    )


def _binding(binding: BindingAnswer, units: str) -> str:
    return ngettext(
        "{buy}: {n} strip {strip} x width of fabric",
        "{buy}: {n} strips {strip} x width of fabric",
        binding.strips,
        buy=binding.buy,
        strip=format_length(binding.strip_mm, units),
    )


def _panels(backing: PanelsAnswer, units: str) -> str:
    panels = ngettext(
        "{n} panel, {length} long",
        "{n} panels, each {length} long",
        backing.panels,
        length=format_length(backing.panel_length_mm, units),
    )
    seams = {"lengthwise": _("lengthwise"), "crosswise": _("crosswise")}[backing.seams]
    return _("{buy}: {panels}, seams {seams}", buy=backing.buy, panels=panels, seams=seams)
