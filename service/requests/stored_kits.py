"""Stored kits, cut down to one run that is cut again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from marshmallow import (
    EXCLUDE,
    fields,
    post_load,
    validate,
)

from service.requests.kits import (
    UNTITLED,
    date_field,
    date_text,
    documents_field,
    language_field,
    numbered,
    reference_field,
    second_unit,
    second_units_field,
)
from service.requests.labels import PLAIN, Labels, LabelsSchema
from service.requests.motifs import Anchor, anchor_field
from service.requests.pieces import (
    MAX_QUANTITY,
    OutlinesRequestSchema,
    Turns,
    grain,
    turns_of,
)
from service.requests.runs import Run, RunSchema
from service.schemas.context import CutterSource, current, reading
from service.schemas.fields import Bool, Int, Strict, piece_id
from service.schemas.loading import load
from service.schemas.validation import List, Partial
from service.texts import LANGUAGES


@dataclass(frozen=True)
class StoredPiece:
    """What a stored kit's request says of a piece beside its outlines, which are stored too."""

    id: str
    quantity: int
    turns: Turns
    mirror: bool
    mirror_of: str | None
    motif: Anchor = False


@dataclass(frozen=True)
class StoredRun:
    """One run of a stored kit and its pieces, as they are cut again; compare ``KitRequest``."""

    title: str
    units: str
    pieces: tuple[StoredPiece, ...]
    run: Run
    documents: frozenset[str]
    reference: str = ""
    date: str = ""
    labels: Labels = PLAIN
    second_units: str = ""
    language: str = LANGUAGES[0]


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
    motif = anchor_field()

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> StoredPiece:  # noqa: ANN401
        turns = turns_of(data.get("grain", "free"))
        partner = data.get("mirror_of")
        motif = data.get("motif", False)
        return StoredPiece(data["id"], data["quantity"], turns, data["mirror"], partner, motif)


class StoredRunSchema(OutlinesRequestSchema):
    """A stored request cut down to one run and its pieces."""

    title = fields.String(load_default=UNTITLED)
    reference = reference_field()
    date = date_field()
    pieces = Partial(fields.Nested(StoredPieceSchema), required=True)
    runs = List(fields.Nested(RunSchema), required=True, validate=validate.Length(1, 1))
    documents = documents_field()
    labels = fields.Nested(LabelsSchema)
    second_units = second_units_field()
    language = language_field()

    def load(self, data: Any, **kwargs: Any) -> Any:  # noqa: ANN401 - marshmallow's own
        """Return the run; the texts in it are as an earlier version took them.

        Raises:
            ValidationError: when it does not fit.
        """
        with reading(replace(current(), is_stored=True)):
            return super().load(data, **kwargs)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Any:  # noqa: ANN401 - marshmallow's own
        (run,) = numbered(data["runs"])
        return StoredRun(
            title=data["title"],
            units=data.get("units") or "mm",
            pieces=tuple(data["pieces"]),
            run=run,
            documents=frozenset(data["documents"]),
            reference=data.get("reference", ""),
            date=date_text(data),
            labels=data.get("labels", PLAIN),
            second_units=second_unit(data),
            language=data["language"],
        )


_STORED = StoredRunSchema()


def stored_run(document: Mapping[str, Any], cutters: CutterSource) -> StoredRun:
    """Return a stored request that was cut down to one run.

    Raises:
        RequestError: with every error.
    """
    found: StoredRun = load(_STORED, document, cutters=cutters)
    return found
