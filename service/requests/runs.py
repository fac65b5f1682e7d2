"""Runs: which pieces, how many, of what material, on which cutter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal, TypeAlias

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from geometry.model.cutter import Cutter, WorkArea
from geometry.model.points import Point
from geometry.toolpath.ties import Ties
from service.requests.copies import Portion
from service.requests.cutters import cutter_choice
from service.requests.material_settings import MaterialSettings, set_for_material
from service.requests.materials import Material, MaterialSchema
from service.requests.pieces import MAX_PIECES, MAX_QUANTITY
from service.requests.run_choices import missing_settings, wrong_choices, wrong_formats
from service.requests.sheets import Sheet, Spread, spread, spread_stock
from service.requests.ties import TiesSchema
from service.schemas.context import current
from service.schemas.errors import raise_together, unusable
from service.schemas.fields import Bool, Int, Length, Num, Strict, piece_id
from service.schemas.structures import Either
from service.schemas.validation import List
from service.tools import kind_of

MAX_RUNS = 50
"""Runs of one kit."""


#: Which outlines a run cuts.
Cut: TypeAlias = Literal["template", "patch"]


@dataclass(frozen=True)
class Run:
    """One material through one cutter; ``number`` counts the request's runs from 1.

    ``reach`` is where the tool's axis may go: the bed less the margins. ``area`` is what the
    sheet less its clearance has in common with that. ``quantities`` are uses of each piece for all
    ``copies``, with spares; ``portions`` for one. ``heaps`` are pieces cut as the first of them.
    """

    number: int
    cut: Cut
    cutter: Cutter
    area: WorkArea
    material: Material
    quantities: Mapping[str, int]
    formats: tuple[str, ...]
    gap: float
    layers: int = 1
    stack: str = "face_up"
    reuse: int = 1
    #: ``kept`` as the pieces state it, or ``free``: the material has none that matters.
    grain: str = "kept"
    effort: str | float = "normal"
    seed: int = 0
    common_line: bool = False
    one_file_per: str | None = None
    ties: Ties | None = None
    max_mismatch_deg: float | None = None
    sets: bool = False
    reach: WorkArea | None = None
    sheet: Sheet | None = None
    notes: tuple[str, ...] = ()
    #: Whether what is cut is drawn off a roll, also once that is a sheet.
    from_roll: bool = False
    max_steps: float | None = None
    merge_identical: bool = False
    copies: int = 1
    portions: Mapping[str, Portion] = field(default_factory=dict)
    heaps: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    #: How each kind of sheet of the material's stock lies on the bed.
    stock: tuple[Spread, ...] = ()
    #: Whether as many of its only piece are cut as there is room for.
    fills: bool = False
    #: Whether it cuts pieces of a stored kit again; its files are named so.
    is_recut: bool = False
    #: Whether that is done from a piece of material that is there: nothing is bought.
    is_at_hand: bool = False
    #: What the cutter is set to for this material, if it has settings for it.
    settings: MaterialSettings | None = None
    #: By piece, the point of its outline that lies on the middle of a motif, where any does.
    anchors: Mapping[str, Point] = field(default_factory=dict)

    @property
    def is_face_to_face(self) -> bool:
        """Return whether plies lie in pairs, right sides together; a single one has no partner."""
        return self.stack == "face_to_face" and self.layers > 1


class PieceChoiceSchema(Strict):
    """A piece of the request and how many of it a run makes."""

    id = piece_id(required=True)
    quantity = Int(validate=validate.Range(1, MAX_QUANTITY))


class RunSchema(Strict):
    """One material through one cutter."""

    cut = fields.String(required=True, validate=validate.OneOf(["template", "patch"]))
    cutter = cutter_choice(required=True)
    pieces = List(
        fields.Nested(PieceChoiceSchema),
        validate=validate.Length(1, MAX_PIECES),
        metadata={"description": "which pieces, and how many; left out: all of them"},
    )
    material = fields.Nested(MaterialSchema)
    formats = List(
        fields.String(validate=validate.Length(1, 40)),
        validate=validate.Length(1, 20),
        load_default=["svg"],
        metadata={"description": "names from GET /v1/formats"},
    )
    gap = Length(
        metadata={
            "description": "between pieces, from cut line to cut line; by tool when left out (for "
            "a die 3/32 in clear between rules, and a rule's thickness)"
        }
    )
    common_line = Bool(
        load_default=Run.common_line,
        metadata={"description": "edges of touching pieces are cut once"},
    )
    layers = Int(
        validate=validate.Range(1, 100),
        load_default=Run.layers,
        metadata={"description": "plies cut at once"},
    )
    stack = fields.String(
        validate=validate.OneOf(["face_up", "face_to_face"]),
        load_default=Run.stack,
        metadata={
            "description": "face_to_face: every second layer comes out as the "
            "mirror image, which is a piece of the run or counted apart",
        },
    )
    reuse = Int(
        validate=validate.Range(1, 1000),
        load_default=Run.reuse,
        metadata={"description": "uses of one template; patches are used once"},
    )
    grain = fields.String(
        validate=validate.OneOf(["kept", "free"]),
        load_default=Run.grain,
        metadata={
            "description": "whether pieces keep their `grain` on this material; free for paper or "
            "card on which they may be turned in any way"
        },
    )
    effort = Either(
        "Effort",
        [
            ((str,), fields.String(validate=validate.OneOf(["quick", "normal", "best"]))),
            ((int, float), Num(validate=validate.Range(0.1, 600))),
        ],
        wanted="Write quick, normal, best, or seconds.",
        load_default=Run.effort,
        metadata={
            "description": "how far to search for full loads and short ways, in counted steps: "
            "the same request gives the same layout on a busy machine. Seconds are converted to "
            "1000 steps each. No effort is worse than quick, and best no worse than normal",
        },
    )
    seed = Int(
        validate=validate.Range(0, 2**31 - 1),
        load_default=Run.seed,
        metadata={
            "description": "of the random numbers of a search: the same seed gives the same "
            "layout, unless complete is false",
        },
    )
    one_file_per = fields.String(
        validate=validate.OneOf(["load", "station"]),
        metadata={
            "description": "station: one file for what the pen draws before the blade is fitted, "
            "and one per setting of the tool; load: one for all of it, which somebody pauses. Left "
            "out: station in the formats that cannot stop a machine (their `supports` have no "
            "stops), load in the others"
        },
    )
    ties = fields.Nested(TiesSchema)
    max_mismatch_deg = Num(
        validate=validate.Range(0, 90),
        metadata={
            "description": "between a blade set by hand and an edge; left out: 15, or the least "
            "that the pieces can have"
        },
    )
    sets = Bool(
        load_default=Run.sets,
        metadata={"description": "whether each load holds whole sets of the pieces"},
    )
    merge_identical = Bool(
        load_default=Run.merge_identical,
        metadata={
            "description": "pieces that are alike in outline, marks and grain, such as one "
            "template for several colours, are cut as one heap; the run sheet says how to sort it"
        },
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _check(self, data: dict[str, Any], stated: Any, **_: Any) -> None:  # noqa: ANN401
        """Check what members say together, as far as they could be loaded."""
        set_for_material(data, stated)
        raise_together(
            [
                *wrong_choices(data),
                *wrong_formats(data),
                *missing_settings(data),
                *_spread(data, stated),
            ]
        )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Run:  # noqa: ANN401 - marshmallow's own
        lying: Spread = data.pop("lying")
        stock: tuple[Spread, ...] = data.pop("stock_lying", ())
        cutter: Cutter = data["cutter"]
        usual = _usual_gap(cutter, common_line=data["common_line"])
        return Run(
            # Runs are numbered by the kit that they belong to.
            number=0,
            area=lying.area,
            reach=lying.reach,
            sheet=lying.sheet,
            notes=lying.notes,
            stock=stock,
            from_roll=cutter.bed.roll,
            quantities=_quantities(data.pop("pieces", None)),
            material=data.pop("material", None) or Material(),
            formats=tuple(data.pop("formats")),
            gap=data.pop("gap", usual),
            **data,
        )


def _spread(data: dict[str, Any], stated: Any) -> Iterator[ValidationError]:  # noqa: ANN401
    """Spread a run's material on its cutter's bed; yield what speaks against it."""
    cutter, material = data.get("cutter"), data.get("material")
    if not isinstance(cutter, Cutter):
        return
    if "max_mismatch_deg" in data and not kind_of(cutter.tool).has_angles:
        detail = "Only a blade set by hand lies at an angle to its edges; leave this out."
        yield unusable(detail, "max_mismatch_deg")
    if material is None and not (isinstance(stated, Mapping) and "material" in stated):
        material = Material()
    if not isinstance(material, Material):
        return
    error = None if material.laser_safe else kind_of(cutter.tool).material_error(material.kind)
    if error is not None:
        yield error
    if material.motif is not None and kind_of(cutter.tool).is_pressed:
        detail = "A die is pressed where you lay it; leave this out."
        yield unusable(detail, "material", "motif")
        return
    if material.stock and kind_of(cutter.tool).is_pressed:
        detail = "A die is pressed, not cut from a sheet; leave this out."
        yield unusable(detail, "material", "stock")
        return
    if material.fabric_width is not None and cutter.bed.roll:
        detail = "Cloth off a roll has the roll's width; leave this out."
        yield unusable(detail, "material", "fabric_width")
        return
    try:
        if material.stock:
            data["stock_lying"] = spread_stock(cutter, material)
            # Of the run as a whole no sheet is known.
            material = replace(material, edge_clearance=None)
        data["lying"] = spread(cutter, material)
    except ValidationError as error:
        yield ValidationError({"material": error.messages})


def _quantities(chosen: Sequence[Mapping[str, Any]] | None) -> Mapping[str, int]:
    wanted = current().quantities
    if chosen is None:
        return dict(wanted)
    return {each["id"]: each.get("quantity", wanted.get(each["id"], 1)) for each in chosen}


def _usual_gap(cutter: Cutter, *, common_line: bool) -> float:
    """Return the gap of a run that states none, mm."""
    kind = kind_of(cutter.tool)
    return kind.common_line_gap_mm(cutter.tool) if common_line else kind.usual_gap_mm(cutter.tool)
