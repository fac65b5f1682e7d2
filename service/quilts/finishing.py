"""Finishing: backing, batting and binding."""

from __future__ import annotations

from geometry.errors import GeometryError
from geometry.planning import finishing as formulae
from geometry.planning.cloth import Fabric
from geometry.units import round_up
from service.answers.finishing import (
    BackingAnswer,
    BackingForAllAnswer,
    BattingAnswer,
    BindingAnswer,
    BindingForAllAnswer,
    FinishAnswer,
    FinishForAllAnswer,
    PanelsAnswer,
    PanelsForAllAnswer,
)
from service.answers.quilts import BedAnswer, FinishingAnswer, QuiltSizeAnswer
from service.pieces.draw import errors_of
from service.quilts.length_text import length_text
from service.quilts.straightening import finishing_warnings
from service.requests.fabrics import LengthStep
from service.requests.finishing import (
    BackingSettings,
    BattingSettings,
    BindingSettings,
    FinishingRequest,
    FinishingSettings,
)
from service.requests.quilt_size import QuiltSize
from service.schemas.loading import refusal


def finishing(request: FinishingRequest) -> FinishingAnswer:
    """Return what a quilt takes to be finished.

    Raises:
        RequestError: when it cannot be finished so.
    """
    try:
        finish = finished(request.quilt, request.settings)
    except GeometryError as error:
        raise refusal(list(errors_of(error, request.units))) from None
    warnings = list(finishing_warnings(finish, request.settings, request.units))
    return FinishingAnswer(quilt=size_answer(request.quilt), finish=finish, warnings=warnings)


def size_answer(size: QuiltSize) -> QuiltSizeAnswer:
    """Return a quilt's size as answers state it."""
    bed = size.bed
    return QuiltSizeAnswer(
        width_mm=size.width,
        length_mm=size.length,
        bed=None
        if bed is None
        else BedAnswer(
            name=bed.name,
            mattress_width_mm=bed.mattress_width,
            mattress_length_mm=bed.mattress_length,
            drop_mm=bed.drop,
            tuck_mm=bed.tuck,
        ),
    )


def finished(
    size: QuiltSize, settings: FinishingSettings, outside: float | None = None
) -> FinishAnswer:
    """Return binding, backing and batting of a quilt.

    Args:
        size: of the quilt.
        settings: how it is finished.
        outside: length round the quilt, mm; left out where its edges are straight.

    Raises:
        geometry.errors.GeometryError: when they cannot be made so; ``where`` is a setting.
    """
    return FinishAnswer(
        binding=_binding(size, settings.binding, outside),
        backing=_backing(size, settings.backing),
        batting=_batting(size, settings.batting),
    )


def finished_for_all(
    finish: FinishAnswer, settings: FinishingSettings, quilts: int
) -> FinishForAllAnswer:
    """Return what equal quilts take together: each fabric is bought in one length.

    Every quilt has whole strips and panels of its own, so that their bags can be packed apart.
    """
    binding, backing = finish.binding, finish.backing
    length = quilts * binding.fabric_length_mm
    buy, text = _bought(length, settings.binding.step)
    return FinishForAllAnswer(
        binding=BindingForAllAnswer(
            strips=quilts * binding.strips, fabric_length_mm=length, buy_mm=buy, buy=text
        ),
        backing=BackingForAllAnswer(
            chosen=_panels_for_all(backing.chosen, settings.backing, quilts),
            alternative=_panels_for_all(backing.alternative, settings.backing, quilts),
        ),
        battings=quilts,
    )


def _panels_for_all(
    panels: PanelsAnswer, settings: BackingSettings, quilts: int
) -> PanelsForAllAnswer:
    length = quilts * panels.fabric_length_mm
    buy, text = _bought(length, settings.step)
    return PanelsForAllAnswer(
        panels=quilts * panels.panels, fabric_length_mm=length, buy_mm=buy, buy=text
    )


def _bought(length: float, step: LengthStep) -> tuple[float, str]:
    """Return what is bought for a length of fabric, mm and in words."""
    buy = round_up(length, step.mm)
    return buy, length_text(buy, step.unit)


def _binding(size: QuiltSize, settings: BindingSettings, outside: float | None) -> BindingAnswer:
    found = formulae.binding(
        size.width,
        size.length,
        outside=outside,
        strip=settings.strip,
        usable=settings.usable_width,
        extra=settings.extra,
        fabric=Fabric(settings.usable_width, settings.step.mm),
    )
    return BindingAnswer(
        length_mm=found.length,
        strips=found.strips,
        strip_mm=found.strip,
        fabric_length_mm=found.fabric_length,
        buy_mm=found.buy,
        buy=length_text(found.buy, settings.step.unit),
        unused_mm=found.unused,
    )


def _backing(size: QuiltSize, settings: BackingSettings) -> BackingAnswer:
    try:
        found = formulae.backing(
            size.width,
            size.length,
            extra_each_side=settings.extra_each_side,
            usable=settings.usable_width,
            join=settings.join_seam,
            seams=settings.seams,
            fabric=Fabric(settings.usable_width, settings.step.mm),
        )
    except GeometryError as error:
        error.where = ("backing", *error.where)
        raise
    unit = settings.step.unit
    return BackingAnswer(
        width_mm=found.width,
        length_mm=found.length,
        chosen=_panels(found.chosen, unit),
        alternative=_panels(found.alternative, unit),
    )


def _panels(found: formulae.Panels, unit: str) -> PanelsAnswer:
    return PanelsAnswer(
        seams=found.seams,
        panels=found.panels,
        panel_length_mm=found.panel_length,
        fabric_length_mm=found.fabric_length,
        buy_mm=found.buy,
        buy=length_text(found.buy, unit),
        unused_mm=found.unused,
        clearance_width_mm=found.to_spare,
    )


def _batting(size: QuiltSize, settings: BattingSettings) -> BattingAnswer:
    width, length = formulae.batting(
        size.width, size.length, extra_each_side=settings.extra_each_side
    )
    return BattingAnswer(width_mm=width, length_mm=length)
