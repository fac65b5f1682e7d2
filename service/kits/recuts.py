"""Cutting a stored kit's pieces again: from the outlines that were stored, never recomputed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from geometry.errors import InternalError
from geometry.model.outline import Chain, Mark, Outline, Region
from geometry.offset.allowance import CornerResult
from service.http.problems import Fault, ProblemError
from service.kits.bundle import Bundle
from service.kits.files import Checked
from service.kits.kits import cut
from service.kits.plies import finished, plies_of, uses_of
from service.requests.convert.collector import Collector
from service.requests.convert.pieces import turns_of
from service.requests.convert.runs import run_of
from service.requests.convert.values import PRINTED, Allowance, Kit, Piece, Run

#: What a recut's title starts with.
_RECUT = "Recut: "


def recut(
    stored: Mapping[str, Any], data: Mapping[str, Any], *, read_back: Checked = True
) -> Bundle:
    """Return a kit that cuts some pieces of a stored kit's run again.

    Args:
        stored: ``answer``, ``request`` and ``cutters`` of the kit, as its bundle held them.
        data: ``run`` (number, from 1) and ``pieces`` (id to count).
        read_back: whether written files are read back.

    Raises:
        ProblemError: 422 when the run or a piece is not in the stored kit.
    """
    request = _narrowed(stored["request"], data)
    cutters: Mapping[str, Mapping[str, Any]] = stored["cutters"]
    read = Collector(request.get("units"))
    rows = {row["id"]: row for row in stored["answer"]["pieces"]}
    pieces = {row["id"]: _piece(rows[row["id"]], row) for row in request["pieces"]}
    wanted = {piece: each.quantity for piece, each in pieces.items()}
    run: Run | None = None
    with read.going_on():
        run = run_of(read, request["runs"][0], ("runs", 0), wanted, cutters.get)
    with _pointing_into_the_body():
        read.finish()
    if run is None:
        raise InternalError("a stored run could not be read, and no fault says why")
    kit = Kit(
        request["title"],
        request.get("units") or "mm",
        pieces,
        (run,),
        frozenset(request.get("print", PRINTED)),
    )
    told = _told_of_layers(kit, run)
    with _pointing_into_the_body():
        bundle = cut(kit, with_files=True, read_back=read_back, warnings=told)
    return Bundle(bundle.answer, bundle.files, cutters, request)


@contextmanager
def _pointing_into_the_body() -> Iterator[None]:
    """Turn pointers into the stored request into pointers into the recut's own body.

    Raises:
        ProblemError: 422 when the stored run cannot be cut again, with those pointers.
    """
    try:
        yield
    except ProblemError as error:
        faults = [
            Fault("#/pieces" if each.pointer.startswith("#/pieces") else "#/run", each.detail)
            for each in error.errors
        ]
        detail = f"The stored run cannot be cut again as it was. {error.detail}"
        raise ProblemError(error.slug, error.status, detail, faults, **error.extra) from None


def _told_of_layers(kit: Kit, run: Run) -> list[str]:
    """Say how many pieces come out of a stack when fewer were asked for."""
    if run.layers == 1:
        return []
    plies = plies_of(kit, run)
    made_of = finished(plies, {piece: each.outlines for piece, each in plies.items()})
    told = []
    for piece, asked in run.quantities.items():
        made = made_of.get(piece, 0) * uses_of(run)
        if made > asked:
            told.append(
                f'Piece "{piece}": {asked} asked for, {made} come out, because {run.layers} layers '
                'are cut at once as in the first kit. State "layers": 1 to cut a single layer.'
            )
    return told


def _narrowed(request: Mapping[str, Any], data: Mapping[str, Any]) -> dict[str, Any]:
    """Return the stored request cut down to one run and the chosen pieces."""
    runs = request["runs"]
    if not 1 <= data["run"] <= len(runs):
        detail = f"Runs are numbered from 1; this kit has {_runs_words(len(runs))}."
        raise ProblemError("invalid-request", 422, detail, [Fault("#/run", detail)])
    stored_run = runs[data["run"] - 1]
    known = [row["id"] for row in request["pieces"]]
    inside = [row["id"] for row in stored_run.get("pieces") or []] or known
    faults = [
        Fault(
            "#/pieces/" + piece.replace("~", "~0").replace("/", "~1"),
            f"This run has no such piece; it cuts: {', '.join(inside)}.",
        )
        for piece in data["pieces"]
        if piece not in inside
    ]
    if not data["pieces"]:
        faults.append(Fault("#/pieces", "Choose at least one piece to cut again."))
    if faults:
        raise ProblemError("invalid-request", 422, "This cannot be cut again.", faults)
    chosen = data["pieces"]
    changed: dict[str, Any] = {"layers": data["layers"]} if "layers" in data else {}
    if data.get("laser_safe"):
        changed["material"] = {**(stored_run.get("material") or {}), "laser_safe": True}
    run = {
        **stored_run,
        **changed,
        "pieces": [{"id": each, "quantity": chosen[each]} for each in inside if each in chosen],
    }
    return {
        **request,
        "title": _title(request.get("title") or "Untitled kit"),
        "pieces": [
            {**row, "quantity": chosen[row["id"]]}
            for row in request["pieces"]
            if row["id"] in chosen
        ],
        "runs": [run],
    }


def _title(title: str) -> str:
    """Return a kit's title as that of its recut; a recut of a recut is one too."""
    return title if title.startswith(_RECUT) else f"{_RECUT}{title}"


def _runs_words(count: int) -> str:
    return "run 1 only" if count == 1 else f"runs 1 to {count}"


def _piece(row: Mapping[str, Any], asked: Mapping[str, Any]) -> Piece:
    allowance = row["allowance"]
    return Piece(
        id=row["id"],
        title=row["shape"],
        size=row["size"],
        template=_region(row["template"]),
        patch=_region(row["patch"]),
        allowance=Allowance(
            asked=allowance["requested_mm"],
            least=allowance["min_mm"],
            most=allowance["max_mm"],
            method=allowance["method"],
            corners=tuple(
                CornerResult(
                    corner=each["corner"], treatment=each["treatment"], tail=each["tail_mm"]
                )
                for each in allowance["corners"]
            ),
            edges={int(key): wide for key, wide in allowance.get("edges_mm", {}).items()},
        ),
        quantity=asked["quantity"],
        turns=turns_of(asked.get("grain", "free")),
        mirror=bool(asked.get("mirror", False)),
        mirror_of=asked.get("mirror_of"),
    )


def _region(row: Mapping[str, Any]) -> Region:
    return Region(
        Outline.of(row["outline"]),
        tuple(Outline.of(hole) for hole in row["holes"]),
        tuple(
            Mark(
                mark["role"],
                mark["operation"],
                Outline.of(mark["points"]) if mark["closed"] else Chain.of(mark["points"]),
            )
            for mark in row["marks"]
        ),
    )
