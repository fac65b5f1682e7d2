"""How a kit's pieces are sorted into bags, and what the bags' labels say."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping

from service.answers.runs import PieceTotalAnswer
from service.documents.model import BagItem, SheetPiece
from service.documents.wording import finished_size, pieces_text
from service.pieces.model import Kit
from service.requests.copies import Portion
from service.requests.runs import Run
from service.runs.heaps import are_alike
from service.texts import gettext as _
from service.texts import ngettext


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
                    f"{pieces_text(run.cut, portion.needed, portion.spares)} {', '.join(names)}, "
                    f"{run.material.name}",
                    _about(pieces[first], run),
                    portion.needed + portion.spares,
                )
            )
    return tuple(found)


def sorting(kit: Kit, run: Run, totals: Mapping[str, PieceTotalAnswer]) -> tuple[str, ...]:
    """Return how to sort what a run has cut: by piece, and into bags."""
    lines: list[str] = []
    groups = _alike(kit, run)
    if run.copies == 1:
        lines += [
            _("{pieces} are alike: lay them on one heap, and count from it.", pieces=_listed(names))
            for names in groups
        ]
    else:
        lines += [_alike_line(run, names, totals) for names in groups]
    together = {name for names in groups for name in names}
    for first in run.quantities:
        if run.copies > 1 and first not in together:
            lines.append(_bag_line(run, first, _total(run, first), totals[first]))
        lines.extend(_heap_lines(run, first))
    if run.copies == 1:
        lines.append(_one_bag_each(run, totals))
        lines.extend(_of_a_set(run))
    return tuple(lines)


def alike_notes(kit: Kit, run: Run, pieces: Collection[str]) -> Iterator[str]:
    """Yield which pieces of a load are laid on one heap, because nobody can tell them apart."""
    for names in _alike(kit, run):
        if not set(names).isdisjoint(pieces):
            yield _("{pieces} are alike: lay them on one heap.", pieces=_listed(names))


def _alike_line(run: Run, names: tuple[str, ...], totals: Mapping[str, PieceTotalAnswer]) -> str:
    """Return what each bag takes from a heap of pieces that nobody can tell apart."""
    total = sum(_total(run, first) for first in names)
    shares = ", ".join(
        _share(name, run.portions[name]) for first in names for name in _names(run, first)
    )
    line = _(
        "{pieces} are alike: lay them on one heap. Count {total} from it into each of {bags} bags "
        "({all} in all): {shares}.",
        pieces=_listed(names),
        total=total,
        bags=run.copies,
        all=f"{total * run.copies:,}",
        shares=shares,
    )
    return _with_rest(line, sum(totals[first].made for first in names) - total * run.copies)


def _total(run: Run, first: str) -> int:
    """Return how many of a heap each copy of a kit takes."""
    return sum(run.portions[name].total for name in _names(run, first))


def _alike(kit: Kit, run: Run) -> list[tuple[str, ...]]:
    """Return which heaps nobody can tell apart although each is cut for itself."""
    alike: dict[str, list[str]] = {}
    for piece in run.quantities:
        first = next(
            (one for one in alike if are_alike(run, kit.pieces[one], kit.pieces[piece])), piece
        )
        alike.setdefault(first, []).append(piece)
    return [tuple(names) for names in alike.values() if len(names) > 1]


def _of_a_set(run: Run) -> Iterator[str]:
    """Yield how a set is made up later: sets are cut together, and not bagged as such."""
    if run.sets and len(run.quantities) > 1:
        sets = math.gcd(*run.quantities.values())
        yield _(
            "Bag no sets unless the order asks for it. A set is {pieces}.",
            pieces=_(" and ").join(
                _("{count} of {piece}", count=count // sets, piece=piece)
                for piece, count in run.quantities.items()
            ),
        )


def _one_bag_each(run: Run, totals: Mapping[str, PieceTotalAnswer]) -> str:
    """Return the bags of a single kit: one for each piece, with its label and its spares.

    What a heap holds beyond its pieces' shares is nobody's.
    """
    bags = _single_bags(run, totals)
    over = sum(
        max(0, each.made - sum(bags[name] for name in _names(run, first)))
        for first, each in totals.items()
    )
    counts = ", ".join(
        _("{count} of {piece}", count=count, piece=piece) for piece, count in bags.items()
    )
    if len(bags) == 1:
        return _("Put all of them into one bag with its label: {pieces}.", pieces=counts)
    line = _("One bag for each piece, with its label: {pieces}.", pieces=counts)
    return f"{line} {_left_over(over)}" if over else line


def _single_bags(run: Run, totals: Mapping[str, PieceTotalAnswer]) -> dict[str, int]:
    """Return how many a single kit's bag of each piece holds.

    That is all that is cut, also what layers and presses make beyond its pieces; of a heap, which
    nobody can tell apart, its share.
    """
    bags: dict[str, int] = {}
    for first, each in totals.items():
        names = _names(run, first)
        bags |= (
            {first: each.made}
            if len(names) == 1
            else {name: run.portions[name].total for name in names}
        )
    return bags


def label_portions(
    run: Run, totals: Mapping[str, PieceTotalAnswer]
) -> Iterator[tuple[str, int, int]]:
    """Yield what each label says: the piece, how many are needed, and how many more there are."""
    bags = _single_bags(run, totals) if run.copies == 1 else {}
    for name, each in run.portions.items():
        yield name, each.needed, max(each.spares, bags.get(name, 0) - each.needed)


def _left_over(count: int) -> str:
    return ngettext("{n} is left over.", "{n} are left over.", count)


def heap_facts(run: Run) -> Iterator[tuple[str, str]]:
    """Yield which pieces a run cuts under the name of one of them."""
    for first, names in run.heaps.items():
        words = _(
            "{first} stands for {pieces}, which are cut alike", first=first, pieces=_listed(names)
        )
        yield _("One heap"), words


def _names(run: Run, first: str) -> tuple[str, ...]:
    return run.heaps.get(first, (first,))


def _heap_lines(run: Run, first: str) -> Iterator[str]:
    names = _names(run, first)
    if len(names) == 1:
        return
    shares = ", ".join(_share(name, run.portions[name]) for name in names)
    total = sum(run.portions[name].total for name in names)
    words = {"pieces": _listed(names), "total": total, "shares": shares}
    if run.copies > 1:
        yield _("{pieces} are alike and lie in one heap. Of each bag's {total}: {shares}.", **words)
    else:
        yield _("{pieces} are alike and lie in one heap. Of the {total}: {shares}.", **words)


def _share(name: str, portion: Portion) -> str:
    if not portion.spares:
        return _("{total} for {piece}", total=portion.total, piece=name)
    return _(
        "{total} ({needed} and {spares} spare) for {piece}",
        total=portion.total,
        needed=portion.needed,
        spares=portion.spares,
        piece=name,
    )


def _bag_line(run: Run, first: str, total: int, row: PieceTotalAnswer) -> str:
    line = _(
        "Count {total} of {piece} into each of {bags} bags ({all} in all).",
        total=total,
        piece=first,
        bags=run.copies,
        all=f"{total * run.copies:,}",
    )
    return _with_rest(line, row.made - total * run.copies)


def _with_rest(line: str, over: int) -> str:
    """Return a line with what is left over or missing."""
    if over < 0:
        missing = ngettext("{n} is missing.", "{n} are missing.", -over)
        return f"{line} {missing}"
    if over:
        return f"{line} {_left_over(over)}"
    return line


def _about(piece: SheetPiece, run: Run) -> str:
    """Return a piece's shape and size, and its allowance where patches are cut."""
    if run.cut == "patch":
        parts = [piece.shape, finished_size(piece), piece.allowance]
    else:
        parts = [piece.shape, piece.requested_size]
    return ", ".join(part for part in parts if part)


def _listed(names: tuple[str, ...]) -> str:
    return _("{first} and {last}", first=", ".join(names[:-1]), last=names[-1])
