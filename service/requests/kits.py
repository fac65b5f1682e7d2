"""Kits: pieces, and the runs that cut them; and what is cut again of a stored kit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from marshmallow import EXCLUDE, fields, post_load, validate

from service.requests.materials import MaterialSchema
from service.requests.pieces import (
    MAX_PIECES,
    MAX_QUANTITY,
    OutlinesRequestSchema,
    PieceRequest,
    Turns,
    grain,
    turns_of,
)
from service.requests.runs import MAX_RUNS, Run, RunSchema
from service.schemas.context import CutterSource, current
from service.schemas.fields import IDENTIFIER, Bool, Int, Strict, Text, piece_id
from service.schemas.loading import load
from service.schemas.structures import Checked, Keyed
from service.schemas.validation import List, Partial

#: Documents for the bench that a kit may have.
DOCUMENTS = ("run_sheet", "labels", "cutting_list")
_TITLE = "Untitled kit"


@dataclass(frozen=True)
class KitRequest:
    """What a kit is made from.

    Args:
        title: of the kit.
        units: in which lengths are shown.
        pieces: as they are asked for.
        runs: that cut them.
        documents: what is set in type for the bench.
        document: the JSON that says all of it, to be kept.
        cutters: the JSON of each cutter that it names, to be kept with it.
        reference: the caller's own, such as an order's number; may be empty.
        date: the caller's, as ISO 8601 has it; may be empty.
    """

    title: str
    units: str
    pieces: tuple[PieceRequest, ...]
    runs: tuple[Run, ...]
    documents: frozenset[str]
    document: Mapping[str, Any]
    cutters: Mapping[str, Mapping[str, Any]]
    reference: str = ""
    date: str = ""


@dataclass(frozen=True)
class StoredPiece:
    """What a stored kit's request says of a piece beside its outlines, which are stored too."""

    id: str
    quantity: int
    turns: Turns
    mirror: bool
    mirror_of: str | None


@dataclass(frozen=True)
class StoredRun:
    """One run of a stored kit and its pieces, as they are cut again; see :class:`KitRequest`."""

    title: str
    units: str
    pieces: tuple[StoredPiece, ...]
    run: Run
    documents: frozenset[str]
    reference: str = ""
    date: str = ""


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


def documents_field() -> List:
    """Return the field of what is set in type for the bench."""
    return List(
        fields.String(validate=validate.OneOf(DOCUMENTS)),
        validate=validate.Length(0, len(DOCUMENTS)),
        load_default=list(DOCUMENTS),
        metadata={
            "description": "what is set in type for the bench; all when left out, nothing for []"
        },
    )


def reference_field(meaning: str = "printed on the sheet and labels, and searched for") -> Text:
    """Return the field of the caller's own reference."""
    return Text(60, metadata={"description": f"your own, such as an order's number; {meaning}"})


def date_field(meaning: str = "yours, printed on the sheet and labels") -> fields.Date:
    """Return the field of a date."""
    return fields.Date(
        error_messages={"invalid": 'Write year, month and day: "2026-12-24".'},
        metadata={"description": meaning},
    )


def _date(data: Mapping[str, Any]) -> str:
    return data["date"].isoformat() if "date" in data else ""


class KitRequestSchema(OutlinesRequestSchema):
    """A whole kit: pieces, and the runs that cut them."""

    names_cutters = True

    title = Text(120)
    reference = reference_field()
    date = date_field()
    runs = List(fields.Nested(RunSchema), required=True, validate=validate.Length(1, MAX_RUNS))
    documents = documents_field()

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], document: Any, **_: Any) -> Any:  # noqa: ANN401
        runs = _numbered(data["runs"])
        return KitRequest(
            title=data.get("title") or _TITLE,
            units=data.get("units") or "mm",
            pieces=tuple(data["pieces"]),
            runs=runs,
            documents=frozenset(data["documents"]),
            document=document,
            cutters=_named(runs),
            reference=data.get("reference", ""),
            date=_date(data),
        )


def _numbered(runs: list[Run]) -> tuple[Run, ...]:
    return tuple(replace(run, number=number) for number, run in enumerate(runs, start=1))


def _named(runs: tuple[Run, ...]) -> dict[str, Mapping[str, Any]]:
    """Return the JSON of the cutters that runs name."""
    source = current().cutters
    names = dict.fromkeys(run.cutter.name for run in runs if run.cutter.name)
    found = {} if source is None else {name: source(name) for name in names}
    return {name: each for name, each in found.items() if each is not None}


class StoredPieceSchema(Strict):
    """A piece of a stored request: what of it holds although its outlines were stored."""

    class Meta:
        """Its shape and allowance are in its outlines; a later version may refuse them."""

        unknown = EXCLUDE

    id = piece_id(required=True)
    quantity = Int(validate=validate.Range(1, MAX_QUANTITY), load_default=1)
    grain = grain()
    mirror = Bool(load_default=False)
    mirror_of = piece_id()

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> StoredPiece:  # noqa: ANN401
        turns = turns_of(data.get("grain", "free"))
        partner = data.get("mirror_of")
        return StoredPiece(data["id"], data["quantity"], turns, data["mirror"], partner)


class StoredRunSchema(OutlinesRequestSchema):
    """A stored request cut down to one run and its pieces."""

    title = fields.String(load_default=_TITLE)
    reference = reference_field()
    date = date_field()
    pieces = Partial(fields.Nested(StoredPieceSchema), required=True)
    runs = List(fields.Nested(RunSchema), required=True, validate=validate.Length(1, 1))
    documents = documents_field()

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Any:  # noqa: ANN401 - marshmallow's own
        (run,) = _numbered(data["runs"])
        return StoredRun(
            title=data["title"],
            units=data.get("units") or "mm",
            pieces=tuple(data["pieces"]),
            run=run,
            documents=frozenset(data["documents"]),
            reference=data.get("reference", ""),
            date=_date(data),
        )


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
            date=_date(data) or None,
            material=data.get("material"),
        )


_KIT, _STORED = KitRequestSchema(), StoredRunSchema()


def kit_request(document: Mapping[str, Any], cutters: CutterSource) -> KitRequest:
    """Return what a kit's JSON asks for.

    Raises:
        RequestError: with every error.
    """
    found: KitRequest = load(_KIT, document, cutters=cutters)
    return found


def stored_run(document: Mapping[str, Any], cutters: CutterSource) -> StoredRun:
    """Return a stored request that was cut down to one run.

    Raises:
        RequestError: with every error.
    """
    found: StoredRun = load(_STORED, document, cutters=cutters)
    return found
