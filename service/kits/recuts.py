"""Cutting a stored kit's pieces again: from the outlines that were stored, never recomputed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from geometry.layout.effort import Nester
from geometry.offset.allowance import CornerResult
from service import __version__
from service.answers.pieces import OutlineAnswer, PieceAnswer
from service.errors import Fault, RequestError, pointer, request_error
from service.kits.bundle import Bundle
from service.kits.files import Checked, check_plugins
from service.kits.kits import cut
from service.kits.limits import TimeLimit
from service.kits.progress import Progress
from service.kits.recut_request import narrowed
from service.kits.recut_warnings import recut_warnings
from service.kits.stored_loads import layout_of, stock_of, with_pieces
from service.kits.stored_outlines import stored_region
from service.pieces.model import Allowance, Kit, Piece, Ticket
from service.requests.kit_number import kit_number
from service.requests.kits import UNTITLED
from service.requests.recuts import RecutRequest
from service.requests.runs import Run
from service.requests.stored_kits import StoredPiece, StoredRun, stored_run
from service.requests.stored_names import current_allowance
from service.runs.sheet_position import has_place
from service.schemas.codec import read
from service.schemas.rounding import without_noise
from service.texts import speaking

#: What a recut's title starts with; in those of an earlier release nothing follows the word.
_RECUT = re.compile(r"^Recut(?:, [^:]*)?: ")
#: Kinds of pieces that a title names.
_MAX_NAMED = 3
#: Where the material of a recut's only run stands in its stored request.
_MATERIAL = "#/runs/0/material"
#: A difference of lengths that is rounding, mm.
_ROUNDING = 1.0e-5


def recut(
    stored: Mapping[str, Any],
    request: RecutRequest,
    *,
    nester: Nester | None,
    read_back: Checked = True,
    limit: TimeLimit | None = None,
    progress: Progress | None = None,
) -> Bundle:
    """Return a kit that cuts some pieces, or whole loads, of a stored kit's run again.

    Args:
        stored: a kit's answer as it was stored, with its ``request`` and ``cutters``.
        request: the run and its pieces.
        nester: the library that is asked for fuller loads, if it is installed.
        read_back: whether written files are read back.
        limit: for its layouts.
        progress: receives how far it is.

    Raises:
        RequestError: when the run or a piece is not in the stored kit, or cannot be used now.
    """
    chosen = with_pieces(stored, request)
    document = narrowed(stored["request"], chosen)
    document["title"] = recut_title(document, request)
    with _pointing_into_the_body(document, request):
        found = stored_run(document, stored["cutters"].get)
        if (lying := _lying_as_it_lay(stored, request, document, found.run)) is not document:
            document, found = lying, stored_run(lying, stored["cutters"].get)
    kit = _kit(stored, chosen, document, found)
    with _pointing_into_the_body(document, request), speaking(kit.language):
        check_plugins(kit.runs)
        warnings = recut_warnings(kit, stored, request, takes_stock=not chosen.loads)
        bundle = cut(
            kit,
            nester=nester,
            with_files=True,
            read_back=read_back,
            limit=limit,
            progress=progress,
            warnings=warnings,
        )
    # Outlines and their measures are as they were, to the last digit.
    rows = {row["id"]: row for row in stored["pieces"]}
    as_stored = [_with_stored_outlines(row, rows[row.id]) for row in bundle.answer.pieces]
    # Cures change a request for a kit, and pointers lead into it; a recut's has another form.
    plain = without_noise(bundle.answer)
    answer = replace(plain, pieces=as_stored, cures=None, warning_places=None)
    return Bundle(answer, bundle.files, stored["cutters"], document)


def _lying_as_it_lay(
    stored: Mapping[str, Any], request: RecutRequest, document: dict[str, Any], run: Run
) -> dict[str, Any]:
    """Return a recut's request with the sheet where it lay for the stored kit.

    An earlier version may have laid a sheet without a stated position elsewhere, and loads that
    are cut as they lay need it there.
    """
    row = stored["runs"][request.run - 1].get("sheet") or {}
    x, y = row.get("x_mm"), row.get("y_mm")
    if request.material is not None or run.sheet is None or x is None or y is None:
        return document
    if not has_place(run) or run.from_roll:
        return document
    if max(abs(x - run.sheet.x), abs(y - run.sheet.y)) <= _ROUNDING:
        return document
    position = {"x": f"{x:.6f} mm", "y": f"{y:.6f} mm"}
    (asked,) = document["runs"]
    material = {**asked["material"], "position": position}
    return {**document, "runs": [{**asked, "material": material}]}


def _kit(
    stored: Mapping[str, Any],
    chosen: RecutRequest,
    document: Mapping[str, Any],
    found: StoredRun,
) -> Kit:
    """Return what is cut, with the outlines that were stored."""
    rows = {row["id"]: row for row in stored["pieces"]}
    number = kit_number(_asked(document, chosen), stored["cutters"], __version__)
    return Kit(
        found.title,
        found.units,
        {each.id: _piece(rows[each.id], each) for each in found.pieces},
        (replace(found.run, is_recut=True, is_at_hand=chosen.has_own_piece),),
        found.documents,
        Ticket(number, found.reference, found.date),
        layout=layout_of(stored, chosen),
        load_stock=stock_of(stored, chosen) if chosen.loads else (),
        labels=found.labels,
        second_units=found.second_units,
        language=found.language,
    )


def _with_stored_outlines(row: PieceAnswer, stored: Mapping[str, Any]) -> PieceAnswer:
    template, patch = (read(OutlineAnswer, stored[part]) for part in ("template", "patch"))
    return replace(row, template=template, patch=patch)


def _asked(document: Mapping[str, Any], request: RecutRequest) -> dict[str, Any]:
    """Return what a recut's number is made from: loads of equal counts are distinguished."""
    loads = {str(number): count for number, count in request.loads.items()}
    return {**document, "loads": loads} if loads else dict(document)


@contextmanager
def _pointing_into_the_body(document: Mapping[str, Any], request: RecutRequest) -> Iterator[None]:
    """Turn pointers into the stored request into pointers into the recut's own body.

    Args:
        document: the stored request, cut down to the run and the pieces of the recut.
        request: the recut's.

    Raises:
        RequestError: when the stored run cannot be cut again, with those pointers.
    """
    try:
        yield
    except RequestError as error:
        faults = [
            Fault(_place(each.pointer, document, request), each.detail) for each in error.errors
        ]
        how = "as it was" if request.material is None else "from this material"
        detail = f"The stored run cannot be cut again {how}. {error.detail}"
        raise request_error(error.slug, detail, faults, _of_run(error.extra, request.run)) from None


def _of_run(extra: Mapping[str, Any], run: int) -> dict[str, Any]:
    """Return what a problem says beside its errors, of the stored kit's run: a recut has one."""
    found = dict(extra)
    if "run" in found:
        found["run"] = run
    if "shortfall" in found:
        found["shortfall"] = [{**row, "run": run} for row in found["shortfall"]]
    return found


def _place(of: str, document: Mapping[str, Any], request: RecutRequest) -> str:
    """Return the pointer into a recut's body for one into its stored request."""
    _, name, *rest = of.split("/") if "/" in of else ("#", "")
    if request.material is not None and of.startswith(_MATERIAL):
        return f"#/material{of.removeprefix(_MATERIAL)}"
    if name == "runs" and rest[1:2] in ([], ["pieces"]) and request.material is not None:
        # What does not fit does not fit on what is stated.
        return "#/material"
    if name != "pieces":
        return "#/run"
    if request.by_loads:
        return "#/loads" if request.loads else "#/from_load"
    index = int(rest[0]) if rest and rest[0].isdecimal() else len(document["pieces"])
    ids = [row["id"] for row in document["pieces"]]
    return pointer("pieces", ids[index]) if index < len(ids) else "#/pieces"


def recut_title(stored: Mapping[str, Any], request: RecutRequest) -> str:
    """Return the title of a recut: what is cut again, and of which kit.

    Args:
        stored: the kit's request; a recut's recut is named by what was cut first.
        request: what is cut again, as it was asked for.
    """
    first = _RECUT.sub("", str(stored.get("title") or UNTITLED))
    return f"Recut, {_chosen_words(request)}: {first}"


def _chosen_words(request: RecutRequest) -> str:
    """Return what a recut cuts: its loads where whole ones were asked for, else its pieces."""
    if request.from_load is not None:
        return f"load {request.from_load} and those after it"
    if request.loads:
        words = [f"load {each}" for each in request.loads]
    else:
        words = [f"{count} of {piece}" for piece, count in request.pieces.items()]
    more = len(words) - _MAX_NAMED
    return ", ".join([*words[:_MAX_NAMED], *([f"{more} more"] if more > 0 else [])])


def _piece(stored: Mapping[str, Any], asked: StoredPiece) -> Piece:
    row = read(PieceAnswer, {**stored, "allowance": current_allowance(stored["allowance"])})
    allowance = row.allowance
    return Piece(
        id=row.id,
        title=row.shape,
        size=row.size,
        template=stored_region(row.template),
        patch=stored_region(row.patch),
        allowance=Allowance(
            requested_mm=allowance.requested_mm,
            min_mm=allowance.min_mm,
            max_mm=allowance.max_mm,
            method=allowance.method,
            corners=tuple(
                CornerResult(each.corner, each.treatment, each.tail_mm)
                for each in allowance.corners
            ),
            edges={int(key): wide for key, wide in (allowance.edges_mm or {}).items()},
        ),
        quantity=asked.quantity,
        turns=asked.turns,
        mirror=asked.mirror,
        mirror_of=asked.mirror_of,
        motif=asked.motif,
    )
