"""Whole loads of a stored kit, cut again as they lay."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from geometry.layout import Layout
from geometry.layout.item import Offcut
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from service.answers.loads import LoadLayoutAnswer
from service.errors import Fault, InvalidRequestError
from service.requests.recuts import RecutRequest
from service.requests.stored_names import current_load
from service.schemas.codec import read
from service.texts import gettext as _


def with_pieces(stored: Mapping[str, Any], request: RecutRequest) -> RecutRequest:
    """Return a recut with the number of pieces that its loads hold; of pieces, as it is.

    Args:
        stored: a kit's answer as it was stored.
        request: what is cut again.

    Raises:
        InvalidRequestError: when the stored run has no such load.
    """
    if not request.by_loads or request.run > len(stored["runs"]):
        # A run that there is not is reported where the pieces are looked up.
        return request
    rows = _loads(stored, request.run)
    if request.from_load is not None:
        times = {number: row.repeats for number, row in rows.items() if number >= request.from_load}
        wrong = [] if times else ["#/from_load"]
    else:
        times = dict(request.loads)
        wrong = [f"#/loads/{number}" for number in times if number not in rows]
    if wrong:
        detail = f"This run has no such load; its loads are numbered 1 to {max(rows)}."
        # Said once, not again for each of several.
        faults = [
            Fault(each, f"There is no load {each.rpartition('/')[2]}." if request.loads else detail)
            for each in wrong
        ]
        raise InvalidRequestError(detail, faults)
    pieces: Counter[str] = Counter()
    for number, count in times.items():
        for piece, made in rows[number].pieces.items():
            pieces[piece] += made * count
    return replace(request, pieces=dict(pieces), loads=times, from_load=None)


def layout_of(stored: Mapping[str, Any], request: RecutRequest) -> Layout | None:
    """Return the layout of the stored loads that are cut again; ``None`` where pieces are."""
    if not request.loads:
        return None
    rows = _loads(stored, request.run)
    chosen = [(rows[number], count) for number, count in sorted(request.loads.items())]
    return Layout(
        loads=tuple(Load(_placements(row), count) for row, count in chosen),
        bound=sum(count for _, count in chosen),
        utilisation=tuple(row.utilisation for row, _ in chosen),
        offcuts=tuple(
            Offcut(
                index,
                each.name,
                each.x_mm,
                each.y_mm,
                each.width_mm,
                each.height_mm,
            )
            for index, (row, _) in enumerate(chosen)
            for each in row.offcuts or ()
        ),
        warnings=(_which(request.loads),),
    )


def stock_of(stored: Mapping[str, Any], request: RecutRequest) -> tuple[int, ...]:
    """Return the entries of its stock that those loads were cut from; empty without a stock."""
    run = stored["runs"][request.run - 1]
    names = [entry["name"] for entry in run.get("stock", ())]
    if not names:
        return ()
    rows = {row["number"]: row["stock"] for row in run["loads"]}
    return tuple(names.index(rows[number]) for number in sorted(request.loads))


def _loads(stored: Mapping[str, Any], run: int) -> dict[int, LoadLayoutAnswer]:
    """Return the loads of a stored kit's run by number."""
    rows = (read(LoadLayoutAnswer, current_load(row)) for row in stored["runs"][run - 1]["loads"])
    return {row.number: row for row in rows}


def _placements(row: LoadLayoutAnswer) -> tuple[Placement, ...]:
    return tuple(
        Placement(each.piece, Rigid(each.turn_deg, each.x_mm, each.y_mm, each.mirrored or False))
        for each in row.placements
    )


def _which(loads: Mapping[int, int]) -> str:
    """Return which stored loads these are; the numbers of a recut start at 1."""
    numbers = sorted(loads)
    if len(numbers) == 1:
        return _("This is load {value} of the first kit, as it lay.", value=numbers[0])
    return _(
        "Loads 1 to {n} here are loads {names} of the first kit, in this order, as they lay.",
        n=len(numbers),
        names=", ".join(map(str, numbers)),
    )
