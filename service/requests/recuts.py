"""Recuts: which pieces or loads of a stored kit's run are cut again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from marshmallow import fields, post_load, validate, validates_schema

from service.requests.callbacks import Callback, callback_field, without_callback
from service.requests.kits import date_field, date_text, reference_field
from service.requests.materials import MaterialSchema
from service.requests.pieces import MAX_PIECES, MAX_QUANTITY
from service.requests.runs import MAX_RUNS
from service.schemas.errors import unusable
from service.schemas.fields import IDENTIFIER, Bool, Int, Strict
from service.schemas.structures import Checked, Keyed

#: Loads that one recut may name.
MAX_LOADS = 200


@dataclass(frozen=True)
class RecutRequest:
    """Pieces or loads of a stored kit's run that are cut again.

    Args:
        run: number of the stored kit's run, from 1.
        pieces: how many of which piece; of whole loads, what they hold once that is known.
        layers: plies cut at once; the stored run's when ``None``.
        laser_safe: whether the material's safety data sheet allows cutting it with a laser.
        reference: the caller's own; the stored kit's when ``None``. Likewise ``date``.
        material: the JSON of the material that it is cut from; the stored run's when ``None``.
        loads: how often which load, by its number.
        from_load: the number from which on all loads are cut, as often as in the stored kit.
        callback: who is called back when it is made; not part of ``document``.
        document: the JSON that says all of it, to be kept.
    """

    run: int
    pieces: Mapping[str, int]
    layers: int | None
    laser_safe: bool
    reference: str | None = None
    date: str | None = None
    material: Mapping[str, Any] | None = None
    loads: Mapping[int, int] = field(default_factory=dict)
    from_load: int | None = None
    callback: Callback | None = None
    document: Mapping[str, Any] = field(default_factory=dict)

    @property
    def by_loads(self) -> bool:
        """Return whether whole loads are cut."""
        return bool(self.loads) or self.from_load is not None

    @property
    def has_own_piece(self) -> bool:
        """Return whether it is cut from a piece of stated size, which is there."""
        return bool(self.material) and "width" in (self.material or {})


class RecutRequestSchema(Strict):
    """Pieces or loads of a stored kit's run that are cut again."""

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
        metadata={"description": "how many of which piece; their layout is calculated again"},
    )
    # marshmallow moves fields out of the class, so its own method of that name stays.
    loads = Keyed(  # type: ignore[assignment]
        Int(validate=validate.Range(1, MAX_QUANTITY)),
        keys="^[1-9][0-9]{0,5}$",
        meaning="Not the number of a load.",
        most=MAX_LOADS,
        metadata={
            "description": "instead of pieces: how often which whole load, by number, as it lay: "
            '{"3": 1} is load 3 once more'
        },
    )
    from_load = Int(
        validate=validate.Range(1, 999_999),
        metadata={
            "description": "instead of pieces: all loads from this number on, as often as in the "
            "stored kit"
        },
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
            "run's when left out, and without name and kind a piece of the stored run's "
            "material. Lengths without a unit are in the stored kit's units"
        },
    )
    reference = reference_field("the stored kit's when left out")
    date = date_field()
    callback = callback_field("when the new kit is stored, or its job has ended")

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _one_choice(self, data: dict[str, Any], stated: Any, **_: Any) -> None:  # noqa: ANN401
        del data
        given = [name for name in ("pieces", "loads", "from_load") if name in stated]
        if len(given) != 1:
            raise unusable(
                "Give one of `pieces`, `loads` and `from_load`: pieces get a new layout, loads "
                "are cut as they lay."
            )
        for name in ("layers", "material"):
            if name in stated and given != ["pieces"]:
                raise unusable(
                    "Whole loads are cut as they were; leave this out, or choose `pieces`.", name
                )
        if stated.get("loads") == {}:
            raise unusable("Choose at least one load.", "loads")

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], document: Any, **_: Any) -> RecutRequest:  # noqa: ANN401
        return RecutRequest(
            run=data["run"],
            pieces=data.get("pieces", {}),
            layers=data.get("layers"),
            laser_safe=data["laser_safe"],
            reference=data.get("reference"),
            date=date_text(data) or None,
            material=data.get("material"),
            loads={int(number): count for number, count in data.get("loads", {}).items()},
            from_load=data.get("from_load"),
            callback=data.get("callback"),
            document=without_callback(document),
        )
