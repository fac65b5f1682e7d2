"""Copies of a kit: how many bags, and what each holds to spare."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from marshmallow import post_load, validate, validates_schema

from service.schemas.errors import unusable
from service.schemas.fields import Int, Num, Strict

MAX_COPIES = 1000
"""Copies of one kit: as many labels are printed."""
MAX_SPARE_PIECES = 1000
"""Spares of one piece in one copy."""


@dataclass(frozen=True)
class Spares:
    """What is cut in addition: a share of each piece's number, or a number of each piece."""

    percent: float = 0.0
    pieces: int = 0

    def of(self, count: int) -> int:
        """Return the spares for a number of pieces, rounded up."""
        # The percentage as it was written: 0.1 as a binary fraction is a little more.
        return self.pieces + math.ceil(Fraction(str(self.percent)) * count / 100)


@dataclass(frozen=True)
class Portion:
    """What one copy holds of one piece; templates where templates are cut, else patches."""

    needed: int
    spares: int = 0

    @property
    def total(self) -> int:
        """Return how many are cut for one copy."""
        return self.needed + self.spares


def copies_field() -> Int:
    """Return the field of how many copies of a kit are cut."""
    return Int(
        validate=validate.Range(1, MAX_COPIES),
        load_default=1,
        metadata={
            "description": "of the whole kit, a bag each: quantities, sets and spares are per "
            "copy, and each copy has a label"
        },
    )


class SparesSchema(Strict):
    """What each copy holds to spare: percent of each piece's number, or pieces of each."""

    percent = Num(
        validate=validate.Range(0, 100),
        metadata={"description": "of what one copy needs of each piece, rounded up"},
    )
    pieces = Int(
        validate=validate.Range(0, MAX_SPARE_PIECES),
        metadata={"description": "of each piece in one copy"},
    )

    @validates_schema
    def _is_one_of_both(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        if len(data) != 1:
            detail = 'State either a share, such as {"percent": 10}, or a number, {"pieces": 2}.'
            raise unusable(detail)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Spares:  # noqa: ANN401
        return Spares(**data)
