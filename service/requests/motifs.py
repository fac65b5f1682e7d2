"""Printed cloth: the repeat of its motifs, where it begins, and motifs that were measured on it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from marshmallow import ValidationError, fields, post_load, validate

from geometry.errors import GeometryError
from geometry.model.motif import MotifPosition, Repeat
from geometry.motif_fit import MeasuredMotif, MotifFit, fit_motifs
from service.schemas.errors import of_geometry, raise_together, unusable
from service.schemas.fields import Bool, Int, Length, Num, Strict
from service.schemas.structures import Either
from service.schemas.validation import List

MAX_MOTIFS = 50
"""Motifs in one repeat, and measured ones."""
#: A smaller repeat is a texture, mm: no piece is cut for a single motif of it.
MIN_REPEAT = 5.0
#: Cloth that is stretched or skewed by more was measured at another motif, most likely.
_MAX_STRETCH, _MAX_SKEW_DEG = 0.2, 20.0
#: What a piece has on the middle of a motif: its own middle, or a point of its template, mm.
Anchor: TypeAlias = bool | tuple[float, float]


@dataclass(frozen=True)
class Print:
    """What is printed on a material.

    ``origin`` is where a repeat's lower left corner lies, from the sheet's lower left corner, mm;
    ``measured`` are motifs on the cloth as it lies, instead of that.
    """

    repeat: Repeat
    origin: tuple[float, float] = (0.0, 0.0)
    measured: tuple[MeasuredMotif, ...] = ()


class MotifPointSchema(Strict):
    """A point."""

    x = Length(min_mm=-math.inf, required=True)
    y = Length(min_mm=-math.inf, required=True)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> tuple[float, float]:  # noqa: ANN401
        return data["x"], data["y"]


class MotifPositionSchema(Strict):
    """The middle of a motif within its repeat."""

    x = Length(required=True, metadata={"description": "from the repeat's left edge"})
    y = Length(required=True, metadata={"description": "from its lower edge"})
    turn_deg = Num(
        validate=validate.Range(-360, 360),
        metadata={"description": "counter-clockwise; left out: that of the print"},
    )


class MeasuredMotifSchema(Strict):
    """One motif that was measured on the cloth as it lies."""

    column = Int(required=True, validate=validate.Range(-1000, 1000))
    row = Int(required=True, validate=validate.Range(-1000, 1000))
    position = Int(
        load_default=1,
        validate=validate.Range(1, MAX_MOTIFS),
        metadata={"description": "which of the repeat's motifs, from 1"},
    )
    x = Length(
        min_mm=-math.inf,
        required=True,
        metadata={"description": "from the sheet's left edge on the bed"},
    )
    y = Length(min_mm=-math.inf, required=True, metadata={"description": "from its lower edge"})


class PrintSchema(Strict):
    """The repeat of a print. Its height runs along the lengthwise grain."""

    repeat_width = Length(min_mm=MIN_REPEAT, required=True)
    repeat_height = Length(min_mm=MIN_REPEAT, required=True)
    drop = Length(
        default_mm=0.0,
        metadata={
            "description": "by how much each next column to the right is moved up: half the height "
            "for a half drop"
        },
    )
    positions = List(
        fields.Nested(MotifPositionSchema),
        validate=validate.Length(1, MAX_MOTIFS),
        metadata={
            "description": "of the motifs' middles within the repeat; left out: one at its lower "
            "left corner"
        },
    )
    turn_deg = Num(
        validate=validate.Range(-360, 360),
        load_default=0.0,
        metadata={"description": "by which the motifs are printed counter-clockwise from upright"},
    )
    origin = fields.Nested(
        MotifPointSchema,
        metadata={
            "description": "where a repeat's lower left corner lies, from the sheet's lower left "
            "corner; left out: on it. On a roll the repeat's width lies across it and its top "
            "towards the roll's start"
        },
    )
    measured = List(
        fields.Nested(MeasuredMotifSchema),
        validate=validate.Length(3, MAX_MOTIFS),
        metadata={
            "description": "instead of the origin, where cloth lies askew or stretched: three "
            "motifs or more as they lie, columns counted to the right and rows up from any "
            "repeat. Three fit exactly; more are fitted by least squares. Where all are within "
            "0.05 mm of the print as it is, only turned and moved, it is taken to lie so"
        },
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Print:  # noqa: ANN401
        raise_together(_wrong_places(data))
        rows = data.get("positions") or [{"x": 0.0, "y": 0.0}]
        positions = tuple(
            MotifPosition(each["x"], each["y"], each.get("turn_deg", data["turn_deg"]))
            for each in rows
        )
        repeat = Repeat(data["repeat_width"], data["repeat_height"], data["drop"], positions)
        if "measured" not in data:
            return Print(repeat, data.get("origin", (0.0, 0.0)))
        measured = tuple(
            MeasuredMotif(
                repeat.place(each["column"], each["row"], each["position"] - 1),
                (each["x"], each["y"]),
            )
            for each in data["measured"]
        )
        try:
            fit = fit_motifs(measured)
        except GeometryError as error:
            raise of_geometry(error, "measured") from None
        raise_together(_too_askew(fit))
        return Print(repeat, measured=measured)


def _wrong_places(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield what speaks against the places of motifs."""
    width, height = data["repeat_width"], data["repeat_height"]
    if data["drop"] >= height:
        detail = f"A drop is less than the repeat's height of {height:g} mm."
        yield unusable(detail, "drop")
    for index, each in enumerate(data.get("positions", ())):
        for name, size in (("x", width), ("y", height)):
            if each[name] >= size:
                detail = (
                    f"This motif lies outside its repeat of {width:g} by {height:g} mm; state it "
                    f"from the repeat's lower left corner, less than {size:g} mm."
                )
                yield unusable(detail, "positions", index, name)
    if "measured" in data and "origin" in data:
        yield unusable("Measured motifs say where the print lies; leave this out.", "origin")
    seen = set()
    for index, each in enumerate(data.get("measured", ())):
        if each["position"] > len(data.get("positions", (None,))):
            yield unusable("The repeat has no such motif.", "measured", index, "position")
        which = (each["column"], each["row"], each["position"])
        if which in seen:
            detail = "This motif was measured above already; measure others, far apart."
            yield unusable(detail, "measured", index)
        seen.add(which)


def _too_askew(fit: MotifFit) -> Iterator[ValidationError]:
    """Yield an error where cloth would have to be stretched or skewed out of all reason."""
    stretch = max(abs(fit.stretch_across - 1.0), abs(fit.stretch_along - 1.0))
    if stretch > _MAX_STRETCH or abs(fit.skew_deg) > _MAX_SKEW_DEG:
        yield unusable(
            f"As measured the print is {100 * fit.stretch_across:.0f} % as wide and "
            f"{100 * fit.stretch_along:.0f} % as high as its repeat and skewed by "
            f"{round(fit.skew_deg)} degrees: check columns, rows and the repeat's size.",
            "measured",
        )


def anchor_field() -> Either:
    """Return the field of the point of a piece that lies on a motif."""
    return Either(
        "PieceMotif",
        [
            ((bool,), Bool()),
            ((dict,), fields.Nested(MotifPointSchema)),
        ],
        wanted='Write true for the piece\'s middle, or a point such as {"x": 0, "y": 0}.',
        metadata={
            "description": "on cloth with a print: true for a motif at the template's middle (its "
            "centre of area), or a point of the template, in the coordinates of the answer's "
            "outlines"
        },
    )
