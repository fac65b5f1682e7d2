"""Answers about kits: previews, saved kits, and lists of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from service.answers.cures import WarningCureAnswer, WarningPlaceAnswer
from service.answers.loads import ESTIMATED, FileAnswer, LoadAnswer
from service.answers.pieces import PieceAnswer
from service.answers.quotes import QuoteAnswer
from service.answers.runs import PreviewRunAnswer, RunAnswer
from service.schemas.answers import (
    Date,
    Json,
    Link,
    Mm,
    Timestamp,
    Uuid,
)


@dataclass(frozen=True, kw_only=True)
class TotalsAnswer:
    """Sums over all loads, including repeats."""

    loads: int
    cut_length_mm: Mm
    travel_mm: Mm
    stops: int
    estimated_s: Annotated[float, ESTIMATED]
    estimated: Annotated[
        str | None,
        "the time as the run sheet prints it: the sum of what the loads' are rounded up to",
    ] = None
    estimate_basis: Annotated[str, "what the times include, and what they leave out"]


@dataclass(frozen=True, kw_only=True)
class LayoutsAnswer:
    """The preview of a kit."""

    title: str
    version: Annotated[str, "of the service"]
    number: Annotated[
        str,
        "short, for people; on the sheet, labels and pictures. Equal requests to the same "
        "version have the same number, whatever their reference, date, documents and prices",
    ]
    reference: Annotated[str | None, "the request's"] = None
    date: Annotated[Date | None, "the request's"] = None
    copies: Annotated[int | None, "copies of the kit that the runs cut; absent in old kits"] = None
    pieces: Sequence[PieceAnswer]
    runs: Sequence[PreviewRunAnswer]
    totals: TotalsAnswer
    quote: Annotated[QuoteAnswer | None, "present if prices are stated"] = None
    warnings: Sequence[str]
    notes: Annotated[
        Sequence[str] | None,
        "those of the warnings that only inform: nothing has to be done about them",
    ] = None
    cautions: Sequence[str]
    complete: Annotated[
        bool, "false when time ran out: pieces are placed in the best layout so far"
    ]
    cures: Annotated[
        Sequence[WarningCureAnswer] | None,
        "changes of the request that cure warnings, where some are sure to, or that search longer "
        "where a search was cut short; absent without any, and in recuts",
    ] = None
    warning_places: Annotated[
        Sequence[WarningPlaceAnswer] | None,
        "sheets of a stock that warnings are about; absent without any, and in recuts",
    ] = None


@dataclass(frozen=True, kw_only=True)
class CutKitAnswer(LayoutsAnswer):
    """A kit with its files, as it is before it is saved."""

    runs: Sequence[RunAnswer]
    run_sheet: Annotated[
        Link | None, "the printed page for the bench, a PDF; plain text where a warning says so"
    ] = None
    run_sheet_page: Annotated[Link | None, "the run sheet as HTML"] = None
    labels: Annotated[
        Link | None, "labels for bagging the pieces, a PDF; plain text where a warning says so"
    ] = None
    cutting_list: Annotated[
        Link | None, "what each load gives, as comma-separated values (RFC 4180) for a spreadsheet"
    ] = None
    quote_sheet: Annotated[
        Link | None,
        "the price for a customer, without costs and margin, a PDF; plain text where a warning "
        "says so",
    ] = None
    quote_page: Annotated[Link | None, "the same as HTML"] = None


@dataclass(frozen=True, kw_only=True)
class KitIdentity:
    """What a kit has once it is saved."""

    id: Uuid
    created_at: Timestamp
    recut_of: Annotated[Uuid | None, "the kit that this is a recut of"] = None


@dataclass(frozen=True, kw_only=True)
class KitAnswer(CutKitAnswer, KitIdentity):
    """A saved kit."""

    request: Annotated[Json, "the request"]
    cutters: Annotated[
        Mapping[str, Json],
        "the named cutters as they were when the kit was created, saved ones with their versions",
    ]


@dataclass(frozen=True, kw_only=True)
class KitSummary:
    """A saved kit in a list."""

    id: Uuid
    title: str
    version: str
    created_at: Timestamp
    href: Annotated[Link, "the kit"]
    number: Annotated[str | None, "short, for people"] = None
    reference: Annotated[str | None, "the request's"] = None
    date: Annotated[Date | None, "the request's"] = None
    recut_of: Uuid | None = None
    pinned: Annotated[bool, "whether retentions leave it alone"]


@dataclass(frozen=True, kw_only=True)
class KitList:
    """A page of saved kits, newest first."""

    kits: Sequence[KitSummary]
    next: Annotated[Link | None, "the next page, if there is one"] = None


def files_of(answer: LayoutsAnswer) -> Iterator[FileAnswer]:
    """Yield the files of a kit's loads; a preview has none."""
    for run in answer.runs:
        for load in run.loads:
            if isinstance(load, LoadAnswer):
                yield from load.files
