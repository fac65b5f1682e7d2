"""How a kit's pieces are sorted into bags, and what the bags' labels say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from service.answers.runs import PieceTotalAnswer
from service.documents.model import BagItem, SheetPiece
from service.pieces.model import Kit
from service.requests.copies import Portion
from service.requests.runs import Run


def bag_items(kit: Kit, pieces: Mapping[str, SheetPiece]) -> tuple[BagItem, ...]:
    """Return what one bag holds, run by run.

    Pieces that are cut as one heap are counted together, because nobody can tell them apart.
    """
    found = []
    for run in kit.runs:
        for first in run.quantities:
            names = _names(run, first)
            portions = [run.portions[name] for name in names]
            portion = Portion(
                sum(each.needed for each in portions), sum(each.spares for each in portions)
            )
            found.append(
                BagItem(
                    f"{_count(portion)} {_what(run, portion)} {', '.join(names)}, "
                    f"{run.material.name}",
                    _about(pieces[first], run),
                )
            )
    return tuple(found)


def sorting(run: Run, totals: Mapping[str, PieceTotalAnswer]) -> tuple[str, ...]:
    """Return how to sort what a run has cut: by piece, and into bags."""
    lines: list[str] = []
    for first in run.quantities:
        lines.extend(_heap_lines(run, first))
        if run.copies > 1:
            names = _names(run, first)
            total = sum(run.portions[name].total for name in names)
            lines.append(_bag_line(run, first, total, totals[first]))
    return tuple(lines)


def heap_facts(run: Run) -> Iterator[tuple[str, str]]:
    """Yield which pieces a run cuts under the name of one of them."""
    for first, names in run.heaps.items():
        yield "One heap", f"{first} stands for {_listed(names)}, which are cut alike"


def _names(run: Run, first: str) -> tuple[str, ...]:
    return run.heaps.get(first, (first,))


def _heap_lines(run: Run, first: str) -> Iterator[str]:
    names = _names(run, first)
    if len(names) == 1:
        return
    shares = ", ".join(
        f"{run.portions[name].total} {_in_brackets(run.portions[name])}for {name}" for name in names
    )
    total = sum(run.portions[name].total for name in names)
    whose = "each bag's" if run.copies > 1 else "the"
    yield f"{_listed(names)} are alike and lie in one heap. Of {whose} {total}: {shares}."


def _bag_line(run: Run, first: str, total: int, row: PieceTotalAnswer) -> str:
    line = (
        f"Count {total} of {first} into each of {run.copies} bags ({total * run.copies:,} in all)"
    )
    over = row.made - total * run.copies
    if over < 0:
        return f"{line}; {-over} are missing."
    return f"{line}; {over} are left over." if over else f"{line}."


def _count(portion: Portion) -> str:
    return f"{portion.needed} + {portion.spares} spare" if portion.spares else str(portion.needed)


def _in_brackets(portion: Portion) -> str:
    return f"({portion.needed} and {portion.spares} spare) " if portion.spares else ""


def _what(run: Run, portion: Portion) -> str:
    one, many = ("patch", "patches") if run.cut == "patch" else ("template", "templates")
    return one if portion.total == 1 else many


def _about(piece: SheetPiece, run: Run) -> str:
    """Return a piece's shape and size, and its allowance where patches are cut."""
    if run.cut == "patch":
        size = f"{piece.asked} finished" if piece.asked else ""
        parts = [piece.shape, size, piece.allowance]
    else:
        parts = [piece.shape, piece.asked]
    return ", ".join(part for part in parts if part)


def _listed(names: tuple[str, ...]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"
