"""A whole kit request."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from typing import Any

from geometry.errors import InternalError
from geometry.hands import mirror_turns
from service.requests.convert.collector import Collector
from service.requests.convert.pieces import piece_of
from service.requests.convert.runs import CutterSource, run_of
from service.requests.convert.values import PRINTED, Kit, Piece, Run


def pieces_of(read: Collector, rows: Sequence[Mapping[str, Any]]) -> dict[str, Piece]:
    """Return a request's pieces by id, faults noted and the faulty left out."""
    pieces: dict[str, Piece] = {}
    seen: set[str] = set()
    for index, row in enumerate(rows):
        path = ("pieces", index)
        if row["id"] in seen:
            read.add((*path, "id"), f'Another piece is called "{row["id"]}" too; ids are unique.')
            continue
        seen.add(row["id"])
        with read.going_on():
            pieces[row["id"]] = piece_of(read, row, path)
    for index, row in enumerate(rows):
        if "mirror_of" in row and row["id"] in pieces:
            fault = _mirror_fault(row["id"], row["mirror_of"], pieces, seen)
            if fault is not None:
                read.add(("pieces", index, "mirror_of"), fault)
    return pieces


def _mirror_fault(
    piece: str, other: str, pieces: Mapping[str, Piece], known: Container[str]
) -> str | None:
    """Return what is wrong with a piece's stated mirror partner."""
    if other == piece:
        return "A piece cannot be its own mirror partner; leave this out."
    if other not in known:
        return f'There is no piece "{other}"; name one of this request.'
    if other in pieces and not mirror_turns(pieces[piece].template, pieces[other].template):
        return (
            f'"{piece}" is not the mirror image of "{other}": their finished outlines, holes or '
            "marks differ. Give both the same shape and size, one with hand right, one left."
        )
    return None


def kit_of(data: Mapping[str, Any], cutters: CutterSource) -> Kit:
    """Return what a kit request asks for.

    Raises:
        ProblemError: 422 with every fault of the request.
    """
    read = Collector(data.get("units"))
    pieces = pieces_of(read, data["pieces"])
    # The request's own counts, so that a faulty shape does not also look like an unknown id.
    wanted = {row["id"]: row.get("quantity", 1) for row in data["pieces"]}
    runs: list[Run] = []
    for index, row in enumerate(data["runs"]):
        with read.going_on():
            path = ("runs", index)
            runs.append(run_of(read, row, path, wanted, cutters, number=index + 1))
    read.finish()
    if len(runs) != len(data["runs"]):
        raise InternalError("a run could not be read, and no fault says why")
    return Kit(
        title=data.get("title") or "Untitled kit",
        units=data.get("units") or "mm",
        pieces=pieces,
        runs=tuple(runs),
        printed=frozenset(data.get("print", PRINTED)),
    )
