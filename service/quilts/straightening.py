"""Whether fabric leaves enough to straighten the cloth's end, and is as wide as any is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from geometry import units as lengths
from service.answers.finishing import FinishAnswer, FinishForAllAnswer
from service.quilts.length_text import STRAIGHTENING, length_text
from service.requests.fabrics import LengthStep
from service.requests.finishing import FinishingSettings
from service.texts import gettext as _

#: Lengths that differ by less are the same, mm.
_ROUNDING: Final = 1.0e-6
#: The narrowest cloth that is woven for clothes has about 360 mm.
_NARROW: Final = 300.0


def end_warnings(buy: float, unused: float, step: LengthStep, units: str | None) -> Iterator[str]:
    """Yield a warning where straightening the cloth's end would take some of what is cut from it.

    Args:
        buy: what is bought, mm.
        unused: how much of it is left, mm.
        step: by which the cloth is sold.
        units: of the request; those of the step where it states none.
    """
    if unused >= STRAIGHTENING - _ROUNDING:
        return
    shown = units or ("mm" if step.unit == "m" else "in")
    more = lengths.round_up(buy - unused + STRAIGHTENING, step.mm)
    yield _(
        "{buy} leaves {unused} to straighten the cloth's end, which may take {needed}: buy {more}, "
        "unless it is torn or cut along a thread.",
        buy=length_text(buy, step.unit),
        unused=lengths.format_length(unused, shown),
        needed=lengths.format_length(STRAIGHTENING, shown),
        more=length_text(more, step.unit),
    )


def finishing_warnings(
    finish: FinishAnswer,
    settings: FinishingSettings,
    units: str | None,
    every: FinishForAllAnswer | None = None,
) -> Iterator[str]:
    """Yield the warnings of what is bought for binding and for both ways to join a backing.

    Args:
        finish: what one quilt takes.
        settings: how it is finished.
        units: of the request.
        every: what all quilts take, where there are several: then only that is bought.
    """
    yield from _narrow(settings, units)
    if every is not None:
        yield from _for_all(finish, every, settings, units)
        return
    binding, backing = finish.binding, finish.backing
    for text in end_warnings(binding.buy_mm, binding.unused_mm, settings.binding.step, units):
        yield _("Binding: {warning}", warning=text)
    for way in (backing.chosen, backing.alternative):
        for text in end_warnings(way.buy_mm, way.unused_mm, settings.backing.step, units):
            yield (
                _("Backing, seams lengthwise: {warning}", warning=text)
                if way.seams == "lengthwise"
                else _("Backing, seams crosswise: {warning}", warning=text)
            )


def _narrow(settings: FinishingSettings, units: str | None) -> Iterator[str]:
    """Yield a warning where cloth for a backing is narrower than any that is sold for one."""
    width, step = settings.backing.usable_width, settings.backing.step
    if width < _NARROW:
        shown = units or ("mm" if step.unit == "m" else "in")
        yield _(
            "Backing: cloth only {width} wide is unusual. Check its unit.",
            width=lengths.format_length(width, shown),
        )


def _for_all(
    finish: FinishAnswer, every: FinishForAllAnswer, settings: FinishingSettings, units: str | None
) -> Iterator[str]:
    """Yield the warnings of what equal quilts take together, which is bought in one length."""
    binding, quilts = every.binding, every.battings
    left = max(0.0, binding.buy_mm - binding.fabric_length_mm)
    for text in end_warnings(binding.buy_mm, left, settings.binding.step, units):
        yield _("Binding for all {quilts} quilts: {warning}", quilts=quilts, warning=text)
    for one, way in (
        (finish.backing.chosen, every.backing.chosen),
        (finish.backing.alternative, every.backing.alternative),
    ):
        left = max(0.0, way.buy_mm - way.fabric_length_mm)
        for text in end_warnings(way.buy_mm, left, settings.backing.step, units):
            yield (
                _(
                    "Backing for all {quilts} quilts, seams lengthwise: {warning}",
                    quilts=quilts,
                    warning=text,
                )
                if one.seams == "lengthwise"
                else _(
                    "Backing for all {quilts} quilts, seams crosswise: {warning}",
                    quilts=quilts,
                    warning=text,
                )
            )
