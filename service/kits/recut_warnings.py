"""What is to be known of a recut beside what is known of any kit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from geometry import units as lengths
from geometry.hands import mirror_turns
from service.answers.pieces import OutlineAnswer
from service.kits.stored_outlines import stored_region
from service.pieces.model import Kit
from service.requests.portions import uses_of
from service.requests.recuts import RecutRequest
from service.requests.runs import Run
from service.runs.notices import Notice
from service.runs.planned_run import PlannedRun
from service.runs.plies import finished, plies_of
from service.runs.sheet_position import has_place
from service.schemas.codec import read
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.texts import ngettext

_STORED_STOCK = _later(
    "The sheets are chosen from the stock as it was for the first kit. Name a material with "
    "what is left of it, where that has been used."
)


def recut_warnings(
    kit: Kit, stored: Mapping[str, Any], request: RecutRequest, *, takes_stock: bool
) -> list[str]:
    """Return where the pieces were cut first, and what comes out beside those asked for.

    Args:
        kit: the recut's, of one run.
        stored: the first kit's answer.
        request: what is cut again.
        takes_stock: whether sheets are chosen from a stock, if the run has one.
    """
    (run,) = kit.runs
    warnings = _first_cut(stored, request)
    warnings += _layer_warnings(kit, run, as_stored=request.layers is None)
    if run.stock and request.material is None and takes_stock:
        warnings.append(_(_STORED_STOCK))
    rows = {row["id"]: row for row in stored["pieces"]}
    return [*warnings, *_other_hands(kit, run, rows)]


def scrap_warnings(planned: Sequence[PlannedRun], units: str) -> Iterator[str]:
    """Yield how many pieces of a stated size a recut takes, where one is not enough.

    Args:
        planned: the runs of any kit; only those from a piece that is there are warned of.
        units: of the request.
    """
    for each in planned:
        run, loads = each.run, each.loads
        count = sum(load.load.repeats for load in loads) * run.layers
        if not run.is_at_hand or run.sheet is None or not has_place(run) or count == 1:
            continue
        fullest = max(loads, key=lambda load: len(load.load.placements)).load.outlines
        sides = (lengths.format_length(side, units) for side in (run.sheet.width, run.sheet.height))
        yield _(
            "One piece of material of {size} is not enough for this recut: it takes {count}. The "
            "fullest of them holds {pieces}.",
            size=" x ".join(sides),
            count=count,
            pieces=", ".join(
                _("{count} of {piece}", count=number, piece=piece)
                for piece, number in fullest.items()
            ),
        )


def _first_cut(stored: Mapping[str, Any], request: RecutRequest) -> list[str]:
    """Say where the pieces were cut first: a bag or a drawer is found by that kit's number."""
    number = stored.get("number")
    return (
        [
            Notice(
                _("Cut again from run {run} of kit {number}.", run=request.run, number=number),
                is_note=True,
            )
        ]
        if number
        else []
    )


def _layer_warnings(kit: Kit, run: Run, *, as_stored: bool) -> list[str]:
    """Say how many pieces come out of a stack when fewer were asked for."""
    if run.layers == 1:
        return []
    plies = plies_of(kit, run)
    why = (
        _("{layers} layers are cut at once as in the first kit", layers=run.layers)
        if as_stored
        else _("{layers} layers are cut at once", layers=run.layers)
    )
    made_of = finished(plies, {piece: each.outlines for piece, each in plies.items()})
    warnings = []
    for piece, asked in run.quantities.items():
        made = made_of.get(piece, 0) * uses_of(run)
        if made > asked:
            warnings.append(
                _(
                    'Piece "{piece}": {asked} asked for, {made} come out, because {why}. A '
                    'single layer gives no more than are asked for ("layers": 1).',
                    piece=piece,
                    asked=asked,
                    made=made,
                    why=why,
                )
            )
    return warnings


def _other_hands(kit: Kit, run: Run, rows: Mapping[str, Mapping[str, Any]]) -> Iterator[str]:
    """Yield which pieces of the first kit the mirror images are that come out of a stack."""
    for piece, each in plies_of(kit, run).items():
        if not each.mirrored:
            continue
        own = kit.pieces[piece].region(run.cut)
        partners = [
            name
            for name, row in rows.items()
            if name != piece and mirror_turns(own, stored_region(read(OutlineAnswer, row[run.cut])))
        ]
        if partners:
            count = each.mirrored * each.outlines
            yield ngettext(
                'Piece "{piece}": the 1 mirror image is "{partner}" of the first kit. Keep what '
                "is needed of them, or ask for both hands in one recut.",
                'Piece "{piece}": the {n} mirror images are "{partner}" of the first kit. Keep '
                "what is needed of them, or ask for both hands in one recut.",
                count,
                piece=piece,
                partner=partners[0],
            )
