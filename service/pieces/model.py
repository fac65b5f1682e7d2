"""Pieces as they are drawn, in millimetres, and the kit that they make with their runs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from geometry.layout import Layout
from geometry.model.outline import LABEL, Region
from geometry.offset.allowance import CornerResult
from service.requests.kits import DOCUMENTS
from service.requests.labels import PLAIN, Labels
from service.requests.motifs import Anchor
from service.requests.pieces import PieceRequest, Turns
from service.requests.prices import PriceList
from service.requests.runs import Run
from service.texts import gettext as _


@dataclass(frozen=True)
class Allowance:
    """What was requested of the seam allowance and what the second measurement found."""

    requested_mm: float
    min_mm: float
    max_mm: float
    method: str
    corners: tuple[CornerResult, ...]
    edges: Mapping[int, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Piece:
    """One piece: its template and patch, how many finished ones are wanted, how it may lie.

    ``request`` is what it was drawn from; ``None`` where the outlines were stored.
    """

    id: str
    title: str
    size: str
    template: Region
    patch: Region
    allowance: Allowance
    quantity: int
    turns: Turns = "free"
    mirror: bool = False
    mirror_of: str | None = None
    motif: Anchor = False
    warnings: tuple[str, ...] = ()
    request: PieceRequest | None = None

    def region(self, cut: str) -> Region:
        """Return what a run of this kind cuts: the ``template`` or the ``patch``."""
        return self.template if cut == "template" else self.patch

    def is_named(self, cut: str) -> bool:
        """Return whether its own id is written on what is cut, rather than another text or none.

        Of stored outlines the text is not known; it is the id unless somebody asked for another.
        """
        text = self.id if self.request is None else self.request.marks.label
        is_written = any(mark.role == LABEL for mark in self.region(cut).marks)
        return is_written and text.casefold() == self.id.casefold()


@dataclass(frozen=True)
class Ticket:
    """What a kit is found by: its number, and the caller's own reference and date; may be empty."""

    number: str = ""
    reference: str = ""
    date: str = ""

    def __str__(self) -> str:
        """Return all that is known, for a line on paper."""
        return ", ".join(
            f"{word} {value}"
            for word, value in (
                (_("Kit"), self.number),
                (_("reference"), self.reference),
                (_("date"), self.date),
            )
            if value
        )


@dataclass(frozen=True)
class Kit:
    """A whole request with its pieces drawn."""

    title: str
    units: str
    pieces: Mapping[str, Piece]
    runs: tuple[Run, ...]
    documents: frozenset[str] = frozenset(DOCUMENTS)
    ticket: Ticket = Ticket()
    copies: int = 1
    #: Of its only run, where loads of a stored kit are cut again as they lay.
    layout: Layout | None = None
    #: The numbers of the entries of its stock that those loads are cut from.
    load_stock: tuple[int, ...] = ()
    prices: PriceList | None = None
    labels: Labels = PLAIN
    #: In which printed lengths are stated beside those of ``units``; empty for none.
    second_units: str = ""
    language: str = "en"

    def on_material_of(self, run: Run) -> Kit:
        """Return the kit with its pieces as they may be turned on a run's material."""
        if run.grain == "kept":
            return self
        pieces = {name: replace(piece, turns="free") for name, piece in self.pieces.items()}
        return replace(self, pieces=pieces)
