"""How the cloth of a run is cut by hand in strips, with a ruler instead of along drawn lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from geometry.errors import GeometryError
from geometry.planning.cloth import Cut, Fabric
from geometry.planning.yardage import yardage
from geometry.units import MM_PER_INCH
from service.pieces.model import Kit, Piece
from service.quilts.cut_pieces import patch_cut
from service.quilts.cut_strips import cutting_by_length
from service.quilts.cutting import Cutting
from service.requests.runs import Run
from service.tools import kind_of
from service.tools.cloth import CLOTH

#: The finest marks of usual rulers, mm.
_RULER_STEPS: Final = {"in": MM_PER_INCH / 16.0}
_EVEN = 1e-6
_NOTHING: Final = Cutting((), ())


def strips_by_hand(kit: Kit, run: Run) -> Cutting:
    """Return how to cut a run's patches from strips by hand; nothing where nobody would.

    These are patches that a person cuts along drawn lines, of cloth off a roll, in one layer, with
    no motif to be met.
    """
    by_hand = kind_of(run.cutter.tool).is_cut_by_hand
    if not by_hand or run.cut != "patch" or run.material.kind not in CLOTH:
        return _NOTHING
    if not run.from_roll or run.layers > 1 or run.anchors:
        return _NOTHING
    step = _RULER_STEPS.get(kit.units, 1.0)
    fabric = Fabric(run.area.bounds.height, ruler_step=step)
    pieces = [kit.pieces[name] for name in run.quantities]
    cuts = list(_cuts(pieces, run))
    try:
        found = yardage(cuts, fabric)
    except GeometryError:
        # A piece is too wide for strips across; drawn lines are all there is.
        return _NOTHING
    names = [piece.id if len(pieces) > 1 else "" for piece in pieces]
    nouns = [piece.title for piece in pieces]
    return cutting_by_length(found, names, nouns, fabric, kit.units)


def _cuts(pieces: list[Piece], run: Run) -> Iterator[Cut]:
    for piece in pieces:
        allowance = piece.allowance
        cut = patch_cut(
            piece.template.outline,
            piece.patch.outline,
            allowance.min_mm,
            run.quantities[piece.id],
            piece.turns,
        )
        is_even = allowance.max_mm - allowance.min_mm <= _EVEN
        yield (
            cut
            if is_even
            else Cut(cut.width, cut.length, cut.count, cut.turns_deg, None, cut.outline)
        )
