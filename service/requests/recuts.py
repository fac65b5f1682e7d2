"""Recuts: which pieces of a stored kit's run are cut again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate

from service.requests.kits import date_field, date_text, reference_field
from service.requests.materials import MaterialSchema
from service.requests.pieces import MAX_PIECES, MAX_QUANTITY
from service.requests.runs import MAX_RUNS
from service.schemas.fields import IDENTIFIER, Bool, Int, Strict
from service.schemas.structures import Checked, Keyed


@dataclass(frozen=True)
class RecutRequest:
    """Pieces of a stored kit's run that are cut again.

    Args:
        run: number of the stored kit's run, from 1.
        pieces: how many of which piece.
        layers: plies cut at once; the stored run's when ``None``.
        laser_safe: whether the material's safety data sheet allows cutting it with a laser.
        reference: the caller's own; the stored kit's when ``None``. Likewise ``date``.
        material: the JSON of the material that it is cut from; the stored run's when ``None``.
    """

    run: int
    pieces: Mapping[str, int]
    layers: int | None
    laser_safe: bool
    reference: str | None = None
    date: str | None = None
    material: Mapping[str, Any] | None = None


class RecutRequestSchema(Strict):
    """Pieces of a stored kit's run that are cut again."""

    run = Int(
        required=True,
        validate=validate.Range(
            1, MAX_RUNS, error="Runs are numbered from 1, as in the kit's answer and run sheet."
        ),
        metadata={"description": "number of the stored kit's run, from 1"},
    )
    pieces = Keyed(
        Int(validate=validate.Range(1, MAX_QUANTITY)),
        keys=IDENTIFIER,
        meaning="Not a piece's id.",
        most=MAX_PIECES,
        required=True,
        metadata={"description": "how many of which piece"},
    )
    layers = Int(
        validate=validate.Range(1, 100),
        metadata={"description": "plies cut at once; the stored run's when left out"},
    )
    laser_safe = Bool(
        load_default=False,
        metadata={
            "description": "as a material's, for a run whose stored request does not say so",
        },
    )
    material = Checked(
        fields.Nested(MaterialSchema),
        metadata={
            "description": "what it is cut from now, such as a scrap of that size; the stored "
            "run's when left out. Lengths without a unit are in the stored kit's units"
        },
    )
    reference = reference_field("the stored kit's when left out")
    date = date_field()

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> RecutRequest:  # noqa: ANN401
        return RecutRequest(
            run=data["run"],
            pieces=data["pieces"],
            layers=data.get("layers"),
            laser_safe=data["laser_safe"],
            reference=data.get("reference"),
            date=date_text(data) or None,
            material=data.get("material"),
        )
