"""The request that a recut is made from: the stored one, cut down to what is cut again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.errors import Fault, InvalidRequestError, pointer
from service.requests.recuts import RecutRequest
from service.requests.stored_names import current_request

#: What a scrap of the run's material does not share with it.
_OF_THE_SHEET = ("width", "height", "position", "stock", "stock_order")
#: What a stored request says of the whole kit: a recut states how many of each piece it cuts.
_OF_COPIES = ("copies", "spares", "prices")


def narrowed(stored: Mapping[str, Any], request: RecutRequest) -> dict[str, Any]:
    """Return a stored request's JSON cut down to one run and the chosen pieces.

    Raises:
        RequestError: when it has no such run or pieces.
    """
    stored = current_request(stored)
    runs = stored["runs"]
    if request.run > len(runs):
        detail = f"Runs are numbered from 1; this kit has {_runs_words(len(runs))}."
        raise InvalidRequestError(detail, [Fault("#/run", detail)])
    run, chosen = runs[request.run - 1], request.pieces
    known = [row["id"] for row in stored["pieces"]]
    inside = [row["id"] for row in run.get("pieces") or []] or known
    faults = [
        Fault(
            pointer("pieces", piece),
            f"This run has no such piece; it cuts: {', '.join(inside)}.",
        )
        for piece in chosen
        if piece not in inside
    ]
    if not chosen:
        faults.append(Fault("#/pieces", "Choose at least one piece to cut again."))
    if faults:
        raise InvalidRequestError("This cannot be cut again.", faults)
    changed: dict[str, Any] = {} if request.layers is None else {"layers": request.layers}
    if request.material is not None:
        changed["material"] = _cut_from(request.material, run.get("material") or {})
    if request.laser_safe:
        material = changed.get("material") or run.get("material") or {}
        changed["material"] = {**material, "laser_safe": True}
    beside = {
        name: value
        for name, value in (("reference", request.reference), ("date", request.date))
        if value is not None
    }
    # Lost templates are counted as such, not by the patches that each of them serves.
    uses = run.get("reuse", 1) if run["cut"] == "template" else 1
    wanted = [{"id": each, "quantity": chosen[each] * uses} for each in inside if each in chosen]
    return {
        **{name: value for name, value in stored.items() if name not in _OF_COPIES},
        **beside,
        "pieces": [
            {**row, "quantity": chosen[row["id"]]}
            for row in stored["pieces"]
            if row["id"] in chosen
        ],
        "runs": [{**run, **changed, "pieces": wanted}],
    }


def _cut_from(stated: Mapping[str, Any], of_the_run: Mapping[str, Any]) -> dict[str, Any]:
    """Return a recut's material: a scrap without name and kind is of the run's own material."""
    if "name" in stated or "kind" in stated:
        return dict(stated)
    kept = {name: value for name, value in of_the_run.items() if name not in _OF_THE_SHEET}
    return {**kept, **stated}


def _runs_words(count: int) -> str:
    return "run 1 only" if count == 1 else f"runs 1 to {count}"
