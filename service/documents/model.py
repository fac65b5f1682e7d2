"""The content of a run sheet, independent of its form."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.model.cutter import Bed, WorkArea
from geometry.model.outline import Outline
from service.requests.labels import PLAIN, Labels


@dataclass(frozen=True)
class SheetPiece:
    """One piece in the index; ``sizes`` are label and text, template first.

    ``allowance`` is the seam allowance in a few words for a label, empty without one.
    """

    id: str
    shape: str
    asked: str
    sizes: tuple[tuple[str, str], ...]
    template: Outline
    patch: Outline
    allowance: str = ""


@dataclass(frozen=True)
class BagItem:
    """One line of a bag's contents: how many of what, and what they look like."""

    count: str
    about: str


@dataclass(frozen=True)
class SheetStop:
    """One stop of a load; ``angle_deg``, if any, is drawn as a dial."""

    reason: str
    message: str
    angle_deg: float | None


@dataclass(frozen=True)
class SheetGround:
    """What a load lies on: bed, work area, the sheet where it has a place, a print's motifs."""

    bed: Bed
    area: WorkArea
    sheet: Outline | None = None
    motifs: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class SheetLoad:
    """One load: ``counts`` are piece and finished pieces of one cutting of it."""

    number: int
    repeats: int
    counts: tuple[tuple[str, int], ...]
    stops: tuple[SheetStop, ...]
    time: str
    files: tuple[str, ...]
    placed: tuple[tuple[str, Outline], ...]
    ground: SheetGround
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class SheetRun:
    """One run: ``facts`` are label and text, ``totals`` piece, asked, made and spare.

    ``verb`` says what is done with a load. ``preparation`` holds steps before cutting,
    ``by_hand`` how to cut strips with a ruler instead, ``remedies`` checks for a wrong test cut,
    ``sorting`` how to sort what was cut.
    ``warnings`` are about this run; those about some of its loads stand in their ``warnings``.
    ``layers`` are cut at once. ``portions`` are piece, needed and spares of one copy of the
    kit, each piece for itself.
    """

    title: str
    cut: str
    material: str
    facts: tuple[tuple[str, str], ...]
    loads: tuple[SheetLoad, ...]
    totals: tuple[tuple[str, int, int, int], ...]
    preparation: tuple[str, ...] = ()
    remedies: tuple[str, ...] = ()
    verb: str = "Cut"
    sorting: tuple[str, ...] = ()
    portions: tuple[tuple[str, int, int], ...] = ()
    layers: int = 1
    warnings: tuple[str, ...] = ()
    by_hand: tuple[str, ...] = ()


@dataclass(frozen=True)
class RunSheet:
    """The whole sheet; ``paper`` is ``letter`` or ``a4``, ``units`` those of its lengths.

    ``ticket`` is the line by which the kit is found again, ``number`` the kit's alone,
    ``version`` the service's. ``warnings`` are about the whole kit, ``office`` those about
    formats and the request, which nobody changes at the bench. ``bag`` is what each of several
    ``copies`` holds, ``labels`` how labels are printed.
    """

    title: str
    paper: str
    pieces: tuple[SheetPiece, ...]
    runs: tuple[SheetRun, ...]
    totals: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    ticket: str = ""
    number: str = ""
    version: str = ""
    copies: int = 1
    bag: tuple[BagItem, ...] = ()
    labels: Labels = PLAIN
    office: tuple[str, ...] = ()
    units: str = "mm"
