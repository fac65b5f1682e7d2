"""Kits: pieces, and the runs that cut them; and stored kits, cut down to one run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from marshmallow import (
    ValidationError,
    fields,
    post_load,
    validate,
    validates_schema,
)

from service.requests.callbacks import Callback, callback_field, without_callback
from service.requests.copies import Spares, SparesSchema, copies_field
from service.requests.labels import PLAIN, Labels, LabelsSchema
from service.requests.most import wrong_most
from service.requests.pieces import (
    OutlinesRequestSchema,
    PieceRequest,
)
from service.requests.portions import for_copies, too_many_copies
from service.requests.prices import PriceList, prices_field
from service.requests.runs import MAX_RUNS, Run, RunSchema
from service.requests.stock import wrong_stock
from service.schemas.context import CutterSource, current
from service.schemas.dates import Day
from service.schemas.errors import raise_together, unusable
from service.schemas.fields import Text
from service.schemas.loading import load
from service.schemas.validation import List
from service.texts import LANGUAGES

#: Documents for the bench that a kit may have.
DOCUMENTS = ("run_sheet", "labels", "cutting_list", "quote")
UNTITLED = "Untitled kit"


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
        copies: of the whole kit; the runs cut all of them.
        prices: for a quote, if there are any.
        labels: how labels are printed.
        second_units: in which printed lengths are stated too; empty for none.
        language: of what is printed.
        callback: who is called back when it is made; not part of ``document``.
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
    copies: int = 1
    prices: PriceList | None = None
    labels: Labels = PLAIN
    second_units: str = ""
    language: str = LANGUAGES[0]
    callback: Callback | None = None


def documents_field() -> List:
    """Return the field of what is set in type for the bench."""
    return List(
        fields.String(validate=validate.OneOf(DOCUMENTS)),
        validate=validate.Length(0, len(DOCUMENTS)),
        load_default=list(DOCUMENTS),
        metadata={
            "description": "what is set in type for the bench, and the quote for a customer "
            "where prices are stated; all when left out, nothing for []"
        },
    )


def second_units_field() -> fields.String:
    """Return the field of a second unit on printed documents."""
    return fields.String(
        validate=validate.OneOf(["in", "mm", "cm"]),
        metadata={
            "description": "in which the run sheet's lengths are stated in brackets, beside those "
            "in units; left out: in units alone"
        },
    )


def language_field() -> fields.String:
    """Return the field of the language of printed documents."""
    return fields.String(
        validate=validate.OneOf(LANGUAGES),
        load_default=LANGUAGES[0],
        metadata={"description": "of the run sheet and labels"},
    )


def reference_field(meaning: str = "printed on the sheet and labels, and searched for") -> Text:
    """Return the field of the caller's own reference."""
    return Text(60, metadata={"description": f"your own, such as an order's number; {meaning}"})


def date_field(meaning: str = "yours, printed on the sheet and labels") -> Day:
    """Return the field of a date."""
    return Day(metadata={"description": meaning})


def date_text(data: Mapping[str, Any]) -> str:
    """Return a loaded request's date as ISO 8601 has it; empty without one."""
    return data["date"].isoformat() if "date" in data else ""


def second_unit(data: Mapping[str, Any]) -> str:
    """Return a loaded request's second unit; empty without one, or where it is the first again."""
    second: str = data.get("second_units", "")
    return "" if second == (data.get("units") or "mm") else second


class KitRequestSchema(OutlinesRequestSchema):
    """A whole kit: pieces, and the runs that cut them."""

    names_cutters = True
    names_price_lists = True

    title = Text(120)
    reference = reference_field()
    date = date_field()
    copies = copies_field()
    spares = fields.Nested(SparesSchema)
    prices = prices_field()
    runs = List(fields.Nested(RunSchema), required=True, validate=validate.Length(1, MAX_RUNS))
    documents = documents_field()
    labels = fields.Nested(LabelsSchema)
    second_units = second_units_field()
    language = language_field()
    callback = callback_field("when the kit is stored, or its job has ended")

    @validates_schema(skip_on_field_errors=False)
    def _copies_are_not_too_many(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        runs, copies = data.get("runs"), data.get("copies")
        spares = data.get("spares", Spares())
        # What could not be loaded is not there, or is what of it could be loaded.
        if runs and copies and isinstance(spares, Spares):
            raise_together(too_many_copies(runs, copies, spares))

    @validates_schema
    def _the_most_is_of_one_kind(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        raise_together(
            wrong_most(data["pieces"], data["runs"], data["copies"], has_spares="spares" in data)
        )

    @validates_schema
    def _motifs_are_on_a_print(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        raise_together(_without_print(data["pieces"], data["runs"]))

    @validates_schema(skip_on_field_errors=False)
    def _prices_are_in_one_currency(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        prices, runs = data.get("prices"), data.get("runs")
        if isinstance(prices, PriceList) and runs:
            raise_together(_other_currencies(runs, prices.currency))

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], document: Any, **_: Any) -> Any:  # noqa: ANN401
        runs = numbered(data["runs"], data["copies"], data.get("spares", Spares()))
        filling = {each.id for each in data["pieces"] if each.fills}
        runs = tuple(replace(run, fills=not filling.isdisjoint(run.quantities)) for run in runs)
        return KitRequest(
            title=data.get("title") or UNTITLED,
            units=data.get("units") or "mm",
            pieces=tuple(data["pieces"]),
            runs=runs,
            documents=frozenset(data["documents"]),
            document=without_callback(document),
            cutters=_named(runs),
            reference=data.get("reference", ""),
            date=date_text(data),
            copies=data["copies"],
            prices=data.get("prices"),
            labels=data.get("labels", PLAIN),
            second_units=second_unit(data),
            language=data["language"],
            callback=data.get("callback"),
        )


def _without_print(
    pieces: Sequence[PieceRequest], runs: Sequence[Run]
) -> Iterator[ValidationError]:
    """Yield an error for each piece that asks for a motif on cloth without any."""
    printed = {piece for run in runs if run.material.motif is not None for piece in run.quantities}
    for index, piece in enumerate(pieces):
        if piece.motif is not False and piece.id not in printed:
            detail = (
                "No run cuts this piece from cloth with a print. State the `motif` of that run's "
                "material: the size of its repeat."
            )
            yield unusable(detail, "pieces", index, "motif")


def _other_currencies(runs: Sequence[object], currency: str) -> Iterator[ValidationError]:
    """Yield an error for each price of a stock that is not in the price list's currency."""
    for index, run in enumerate(runs):
        if isinstance(run, Run):
            for error in wrong_stock(run.material.stock, currency):
                messages = {index: {"material": {"stock": error.messages}}}
                yield ValidationError({"runs": messages})


def numbered(runs: list[Run], copies: int = 1, spares: Spares | None = None) -> tuple[Run, ...]:
    """Return a kit's runs with their numbers and what they cut for all copies."""
    return tuple(
        for_copies(replace(run, number=number), copies, spares or Spares())
        for number, run in enumerate(runs, start=1)
    )


def _named(runs: tuple[Run, ...]) -> dict[str, Mapping[str, Any]]:
    """Return the JSON of the cutters that runs name."""
    source = current().cutters
    names = dict.fromkeys(run.cutter.name for run in runs if run.cutter.name)
    found = {} if source is None else {name: source(name) for name in names}
    return {name: each for name, each in found.items() if each is not None}


_KIT = KitRequestSchema()


def kit_request(document: Mapping[str, Any], cutters: CutterSource) -> KitRequest:
    """Return what a kit's JSON asks for.

    Raises:
        RequestError: with every error.
    """
    found: KitRequest = load(_KIT, document, cutters=cutters)
    return found
