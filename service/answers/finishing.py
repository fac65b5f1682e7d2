"""Schemas of answers about finishing a quilt: binding, backing and batting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from service.schemas.answers import Inlined, Mm


@dataclass(frozen=True, kw_only=True)
class BindingAnswer:
    """Strips round a quilt."""

    length_mm: Annotated[
        float,
        "of the whole binding, including corners and joins; along points and dents where a plan's "
        "edges keep them",
    ]
    strips: Annotated[int, "strips cut across the fabric"]
    strip_mm: Annotated[float, "width of a strip as cut"]
    fabric_length_mm: Annotated[float, "for the strips"]
    buy_mm: Annotated[float, "in whole steps"]
    buy: str
    unused_mm: Mm


@dataclass(frozen=True, kw_only=True)
class PanelsAnswer:
    """One way to join a backing from panels."""

    seams: Literal["lengthwise", "crosswise"]
    panels: Annotated[int, "widths of fabric side by side"]
    panel_length_mm: Mm
    fabric_length_mm: Annotated[float, "for the panels"]
    buy_mm: Annotated[float, "in whole steps"]
    buy: str
    unused_mm: Mm
    clearance_width_mm: Annotated[float, "surplus width of the joined panels"]


@dataclass(frozen=True, kw_only=True)
class BackingAnswer:
    """A backing, and the other way to join it."""

    width_mm: Annotated[float, "of the backing"]
    length_mm: Annotated[float, "of the backing"]
    chosen: Annotated[PanelsAnswer, Inlined()]
    alternative: PanelsAnswer


@dataclass(frozen=True, kw_only=True)
class BattingAnswer:
    """Wadding between top and backing."""

    width_mm: Mm
    length_mm: Mm


@dataclass(frozen=True, kw_only=True)
class FinishAnswer:
    """What a quilt takes to be finished."""

    binding: BindingAnswer
    backing: BackingAnswer
    batting: BattingAnswer


@dataclass(frozen=True, kw_only=True)
class BindingForAllAnswer:
    """The strips for all quilts, cut from one length."""

    strips: Annotated[int, "strips cut across the fabric"]
    fabric_length_mm: Annotated[float, "for the strips"]
    buy_mm: Annotated[float, "in whole steps"]
    buy: str


@dataclass(frozen=True, kw_only=True)
class PanelsForAllAnswer:
    """The panels of all backings, cut from one length."""

    panels: Annotated[int, "of all backings"]
    fabric_length_mm: Annotated[float, "for the panels"]
    buy_mm: Annotated[float, "in whole steps"]
    buy: str


@dataclass(frozen=True, kw_only=True)
class BackingForAllAnswer:
    """All backings, and the other way to join them."""

    chosen: Annotated[PanelsForAllAnswer, Inlined()]
    alternative: PanelsForAllAnswer


@dataclass(frozen=True, kw_only=True)
class FinishForAllAnswer:
    """What all quilts of a plan take to be finished, each fabric bought in one length."""

    binding: BindingForAllAnswer
    backing: BackingForAllAnswer
    battings: Annotated[int, "of the size stated for one"]
