"""Yardage: fabric by the length or in pre-cut pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from geometry.errors import GeometryError
from geometry.planning import yardage as rows
from geometry.planning.yardage import Cut
from service.quilts.settings import Bought, fabric_of, length_text
from service.requests.convert.collector import Collector, Path, Unread
from service.requests.convert.pieces import piece_of


@dataclass(frozen=True)
class Wanted:
    """A size of piece to cut from a fabric, and its path in the request."""

    id: str
    cut: Cut
    path: Path


def yardage(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fabrics for pieces.

    Raises:
        ProblemError: 422 with all errors of the request.
    """
    read = Collector(data.get("units"))
    bought: Bought | None = None
    with read.going_on():
        bought = fabric_of(read, data.get("fabric") or {}, ("fabric",))
    fabrics: dict[str, list[Wanted]] = {}
    usual = (data.get("fabric") or {}).get("name", "fabric")
    for index, row in enumerate(data["pieces"]):
        with read.going_on():
            wanted = _wanted(read, row, ("pieces", index), data.get("kits", 1))
            fabrics.setdefault(row.get("fabric", usual), []).append(wanted)
    found = []
    if bought is not None:
        for name, wants in fabrics.items():
            with read.going_on():
                found.append(fabric_answer(read, name, wants, bought))
    read.finish()
    return {"fabrics": found}


def _wanted(read: Collector, row: Mapping[str, Any], path: Path, kits: int) -> Wanted:
    if "shape" in row:
        for name in ("width", "length"):
            if name in row:
                read.add((*path, name), "Give either a shape or the cut size.")
        width, length = _patch_size(read, row, path)
    else:
        width, length = _size(read, row, path)
    name = str(row.get("id") or path[-1])
    return Wanted(
        name,
        Cut(width, length, row["count"] * kits, bool(row.get("may_turn_across_grain", False))),
        path,
    )


def _size(read: Collector, row: Mapping[str, Any], path: Path) -> tuple[float, float]:
    for name in ("seam_allowance", "corners"):
        if name in row:
            read.add((*path, name), "This needs a shape; width and length are cut sizes.")
    found = []
    for name in ("width", "length"):
        if name not in row:
            read.add((*path, name), "Give the piece's cut width and length, or a shape.")
            continue
        with read.going_on():
            # To a tenth of a millimetre, as for all shapes: no cloth is cut more finely.
            found.append(read.length(row[name], (*path, name), least=0.1))
    if len(found) != len(("width", "length")):
        raise Unread
    return found[0], found[1]


def _patch_size(read: Collector, row: Mapping[str, Any], path: Path) -> tuple[float, float]:
    names = ("shape", "seam_allowance", "corners")
    piece = piece_of(read, {"id": "A", **{n: row[n] for n in names if n in row}}, path)
    box = piece.patch.outline.bounds
    return box.width, box.height


def fabric_answer(
    read: Collector, name: str, wants: Sequence[Wanted], bought: Bought
) -> dict[str, Any]:
    """Return the amount to buy of one fabric.

    Raises:
        Unread: when a piece does not fit on it; the error is collected.
    """
    if bought.pre_cut is not None:
        return _pre_cut_answer(read, name, wants, bought)
    for want in wants:
        _check(read, want, bought)
    found = rows.yardage([want.cut for want in wants], bought.fabric)
    only = found.rows[0] if len(found.rows) == 1 else None
    return {
        "fabric": name,
        "per_row": None if only is None else only.per_row,
        "rows": sum(each.rows for each in found.rows),
        "length_mm": found.length,
        "length_before_wash_mm": found.before_wash,
        "buy_mm": found.buy,
        "buy": length_text(found.buy, bought.unit),
        "unused_mm": found.leftover,
        "usable_width_mm": bought.fabric.width,
        "pieces": [
            {
                "id": want.id,
                "width_mm": each.cut.width,
                "length_mm": each.cut.length,
                "needed": each.cut.count,
                "cut": each.count,
                "per_row": each.per_row,
                "rows": each.rows,
                "length_of_rows_mm": each.length,
                "turned": each.turned,
            }
            for want, each in zip(wants, found.rows, strict=True)
        ],
    }


def _check(read: Collector, want: Wanted, bought: Bought) -> None:
    try:
        rows.rows_of(want.cut, bought.fabric)
    except GeometryError as error:
        read.add(want.path, error.message)
        raise Unread from None


def _pre_cut_answer(
    read: Collector, name: str, wants: Sequence[Wanted], bought: Bought
) -> dict[str, Any]:
    pre_cut = bought.pre_cut
    if pre_cut is None:
        raise AssertionError("requested pre-cut pieces of a fabric sold by the length")
    pieces: list[dict[str, Any]] = []
    for want in wants:
        with read.noting(want.path):
            try:
                found = rows.from_pre_cuts(want.cut, pre_cut, bought.fabric)
            except GeometryError as error:
                # The path is the piece's in the request, not its index among this fabric's pieces.
                raise GeometryError(error.message) from None
        pieces.append(
            {
                "id": want.id,
                "width_mm": want.cut.width,
                "length_mm": want.cut.length,
                "needed": want.cut.count,
                "cut": found.count,
                "pieces_per_pre_cut": found.per_cut,
                "pre_cuts": found.needed,
                "spare": found.spare,
                "turned": found.turned,
            }
        )
    total = sum(each["pre_cuts"] for each in pieces)
    return {
        "fabric": name,
        "pre_cut": pre_cut.name,
        "pre_cut_width_mm": pre_cut.width,
        "pre_cut_length_mm": pre_cut.length,
        "pre_cuts": total,
        "buy": f"{total} of {pre_cut.name}",
        "pieces": pieces,
    }
