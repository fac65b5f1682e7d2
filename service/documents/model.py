"""The content of a run sheet, independent of its form."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from geometry.model.cutter import Bed, WorkArea
from geometry.model.outline import Chain, Outline
from geometry.model.plan import Stroke
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from service.documents.pictures.strips import DrawnStrip
from service.requests.labels import PLAIN, Labels


@dataclass(frozen=True)
class SheetPiece:
    """One piece in the index; ``sizes`` are label and text, template first.

    ``cuts`` are what runs cut of it, templates or patches or both; ``holes`` are in its template.
    ``allowance`` is the seam allowance in a few words for a label, empty without one. ``arrow``
    are the lines of its grain arrow, if it may not be turned freely. ``edges`` are the numbers of
    the template's edges whose allowance is named, which its drawing shows.
    """

    id: str
    shape: str
    requested_size: str
    sizes: tuple[tuple[str, str], ...]
    template: Outline
    patch: Outline
    allowance: str = ""
    arrow: tuple[Chain, ...] = ()
    edges: tuple[int, ...] = ()
    cuts: tuple[str, ...] = ("template", "patch")
    holes: tuple[Outline, ...] = ()

    @property
    def shows_patch(self) -> bool:
        """Return whether it is drawn with its allowance."""
        return bool(self.allowance) and "patch" in self.cuts


@dataclass(frozen=True)
class BagItem:
    """One line of a bag's contents: how many of what, what they look like, and their number."""

    count: str
    about: str
    total: int = 0


@dataclass(frozen=True)
class SheetStop:
    """One stop of a load; ``angle_deg``, if any, is drawn as a dial.

    ``times`` has a box to tick for each, if there are any.
    """

    reason: str
    message: str
    angle_deg: float | None
    times: int = 0

    @property
    def is_inside(self) -> bool:
        """Return whether somebody works on the machine between two cuts of a load."""
        return self.reason in {"turn-blade", "change-tool"}


@dataclass(frozen=True)
class SheetGround:
    """What a load lies on: bed, work area, the sheet where it has a place, a print's motifs.

    ``marks_corner`` says that the lower left corner of the sheet or roll is on the bed and marked.
    """

    bed: Bed
    area: WorkArea
    sheet: Outline | None = None
    motifs: tuple[tuple[float, float], ...] = ()
    marks_corner: bool = False


@dataclass(frozen=True)
class SheetKind:
    """How one kind of piece is drawn on a load.

    ``template`` is the line within a patch. ``is_named`` says that its id is written on the piece
    itself, among its ``marks``; ``is_one_way`` that its arrow's head is at its top.
    """

    piece: str
    cut: str
    outline: Outline
    holes: tuple[Outline, ...] = ()
    marks: tuple[Outline | Chain, ...] = ()
    template: Outline | None = None
    arrow: tuple[Chain, ...] = ()
    is_named: bool = False
    is_one_way: bool = False


@dataclass(frozen=True)
class SheetRest:
    """A rectangle of a sheet that stays whole: its part on the bed, and its size in words.

    The part is empty where it lies past the bed's edge. ``is_for_kit`` says that a piece of the
    kit fits into it.
    """

    box: Bounds
    words: str
    is_for_kit: bool = True

    @property
    def is_drawn(self) -> bool:
        """Return whether pictures show it: it is worth keeping, and some of it is on the bed."""
        return self.is_for_kit and min(self.box.width, self.box.height) > 0.0


@dataclass(frozen=True)
class SheetPage:
    """A printed page, alone or joined to others: its number, its row from the top, its box, mm."""

    number: int
    row: int
    box: Bounds


@dataclass(frozen=True)
class SheetLoad:
    """One load: ``pieces`` are piece and finished pieces of one cutting of it.

    ``files`` are the names of those that a machine reads, of several formats if ``is_choice``:
    those of one will do; ``placements`` are the number of a kind and its place on the bed. A load
    ``leaves_rest`` unless it is printed. ``line_up`` is the short cut that brings a blade into
    line, ``nicks`` and ``bridges`` are a die's. ``given_by`` are pieces without an outline of
    their own, and those whose outlines give them; ``notes`` what else is to be known at the
    machine. ``strokes`` are numbered in the picture where the operator counts them, to pause the
    machine after those in ``pauses``, by number from 1. ``layers`` are cut at once. ``turn_with``
    is the load with which it is cut in turn; ``pages`` are those of paper in its picture.
    """

    number: int
    repeats: int
    pieces: tuple[tuple[str, int], ...]
    stops: tuple[SheetStop, ...]
    time: str
    files: tuple[str, ...]
    ground: SheetGround
    kinds: tuple[SheetKind, ...]
    placements: tuple[tuple[int, Rigid], ...]
    line_up: tuple[Chain, ...] = ()
    nicks: tuple[Chain, ...] = ()
    bridges: tuple[Chain, ...] = ()
    rests: tuple[SheetRest, ...] = ()
    warnings: tuple[str, ...] = ()
    is_choice: bool = False
    leaves_rest: bool = True
    given_by: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    strokes: tuple[Stroke, ...] = ()
    pauses: tuple[int, ...] = ()
    turn_with: int | None = None
    pages: tuple[SheetPage, ...] = ()
    layers: int = 1

    @property
    def on_top(self) -> Counter[str]:
        """Return how many outlines of each piece are placed."""
        return Counter(self.kinds[index].piece for index, _ in self.placements)


@dataclass(frozen=True)
class SheetRun:
    """One run: ``facts`` are label and text, ``totals`` piece, asked, made and spare.

    ``is_pressed`` says that a load is pressed rather than cut, ``is_printed`` that it is printed,
    ``is_drawn`` that a machine draws it; both are then cut by hand. ``preparation`` holds steps
    before cutting, ``by_hand`` how to cut strips with a ruler instead, ``strips`` their drawings,
    ``settings`` what to set at the machine, ``test`` how to cut a test and measure it,
    ``remedies`` checks for a wrong test cut, ``sorting`` how to sort what was cut,
    ``figures`` what nobody needs at the bench.
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
    settings: tuple[tuple[str, str], ...] = ()
    test: tuple[str, ...] = ()
    figures: tuple[tuple[str, str], ...] = ()
    is_pressed: bool = False
    is_printed: bool = False
    is_drawn: bool = False
    sorting: tuple[str, ...] = ()
    portions: tuple[tuple[str, int, int], ...] = ()
    layers: int = 1
    warnings: tuple[str, ...] = ()
    by_hand: tuple[str, ...] = ()
    strips: tuple[DrawnStrip, ...] = ()


@dataclass(frozen=True)
class RunSheet:
    """The whole sheet; ``paper`` is ``letter`` or ``a4``, ``units`` those of its lengths.

    ``ticket`` is the line by which the kit is found again, ``number`` the kit's alone,
    ``version`` the service's. ``warnings`` are about the whole kit, ``office`` those about
    formats and the request, which nobody changes at the bench. ``bag`` is what each of several
    ``copies`` holds, ``labels`` how labels are printed; ``figures`` are for the office.
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
    language: str = "en"
    figures: tuple[tuple[str, str], ...] = ()
