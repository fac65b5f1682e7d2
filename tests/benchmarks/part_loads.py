"""Part-filled loads beside rows worked by hand and beside the nester alone: one table.

    python -m tests.benchmarks.part_loads --out tests/benchmarks/PART_LOADS.md
    python -m tests.benchmarks.part_loads --efforts quick --steps 0

With ``--keep`` the figures of the nester and of ``best`` that the file already holds are kept.
The material of a load is the share of its sheet that is used: the strip from one side to the far
end of the pieces, along the side that leaves the larger whole rectangle. Rows by hand: the better
of straight and interlocked rows along both sides, worked with the formulas in ``by_hand``. The
nester alone has the given number of its own steps for each side of the sheet, so that a busy
machine gives it no less: 1000 take it 5 to 60 s of processor time.
"""

from __future__ import annotations

import argparse
import math
import re
import textwrap
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from geometry.layout import Item
from geometry.layout.effort import Budget
from geometry.layout.nester import nested
from geometry.layout.nester_search import frames
from geometry.layout.objective import used_strip
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH
from service.sandbox.nester import installed
from tests.layouts import lay_out

#: Of whole numbers, and half of the last digit that the table shows.
_ROUNDING, _SHOWN = 1e-6, 5e-5
#: Figures of a table made before, by the case and the column.
Kept = dict[tuple[str, str], float]
#: Kinds, with their sizes in inches, and the numbers of pieces that fill part of a sheet.
CASES: tuple[tuple[str, float, tuple[int, ...]], ...] = (
    ("triangle", 1.5, (9, 23, 40, 64)),
    ("triangle", 3.0, (5, 9, 14, 20)),
    ("square", 2.0, (4, 13, 20, 31)),
    ("hexagon", 1.0, (7, 15, 28, 40)),
    ("hexagon", 1.5, (3, 8, 13, 20)),
    ("diamond_60", 1.5, (10, 24, 40, 60)),
    ("diamond_60", 2.0, (7, 15, 22, 33)),
    ("diamond_45", 2.0, (6, 15, 25, 38)),
    ("diamond_45", 1.5, (12, 28, 44, 60)),
    ("octagon", 1.0, (3, 7, 12, 18)),
    ("circle", 2.0, (5, 11, 19, 30)),
)
SHEET = (12.0, 18.0)


def item_of(kind: str, size: float, count: int) -> Item:
    """Return an item of a kind; sizes are sides, of a circle the diameter."""
    name = {"circle": "diameter"}.get(kind, "side")
    return Item(kind, build(kind, {name: size * INCH}), count)


def by_hand(kind: str, size: float, count: int, width: float, height: float) -> float:
    """Return the least share of a sheet, inches, that rows worked by hand take.

    Along each side of the sheet: rows across the strip hold so many pieces each; enough rows are
    laid for all. Worked with the textbook sizes of the shapes:

    - triangle, side s: alternately turned, n in a row are (n + 1) s / 2 long and s sqrt(3)/2 high
    - square, side s: n in a row are n s long, rows s apart
    - hexagon, side s, on a corner: n in a row are n s sqrt(3) long; interlocked rows are 1.5 s
      apart, every other row half a piece along; the first is 2 s high
    - the same on an edge: rows of n are (1.5 n + 0.5) s long, columns half a height apart, and
      rows s sqrt(3) apart, half a height more for the raised columns
    - diamonds of angle a, side s: sheared rows: n in a row are (n + cos a) s long, rows s sin a
      apart and, turned to one side and the other, no longer
    - octagon, side s: a square of s (1 + sqrt 2)
    - circle, diameter d: n in a row are n d long, interlocked rows d sqrt(3)/2 apart
    """
    best = math.inf
    for across, along in ((width, height), (height, width)):
        best = min(best, *(each / along for each in _rows(kind, size, count, across)))
    return best


def _whole(value: float) -> int:
    return max(0, math.floor(value + _ROUNDING))


def _rows(kind: str, s: float, count: int, across: float) -> Iterator[float]:
    """Yield lengths of strips of a width, one for each way to lay rows."""
    root = math.sqrt(3.0)
    if kind == "triangle":
        yield _even(count, _whole(2.0 * across / s - 1.0), s * root / 2.0, 0.0)
        # Rows along the strip: as many as the width holds, each so long.
        yield _along(count, _whole(across / (s * root / 2.0)), lambda n: (n + 1) * s / 2.0)
    elif kind in {"square", "octagon"}:
        side = s * (1.0 + math.sqrt(2.0)) if kind == "octagon" else s
        yield _even(count, _whole(across / side), side, 0.0)
    elif kind == "hexagon":
        n = _whole(across / (s * root))
        m = n if across + _ROUNDING >= (n + 0.5) * s * root else n - 1
        yield _alternating(count, n, m, 2.0 * s, 1.5 * s)
        columns = _whole((across / s - 0.5) / 1.5)
        # Columns stand half a height higher in turn: the strip ends with the raised ones.
        for rows in range(1, count + 1):
            if rows * columns >= count:
                yield (rows + (0.5 if columns > 1 else 0.0)) * s * root
                break
            if rows * columns + math.ceil(columns / 2) >= count:
                yield (rows + 1.0) * s * root
                break
    elif kind.startswith("diamond"):
        angle = math.radians(float(kind.rsplit("_", maxsplit=1)[1]))
        n = _whole(across / s - math.cos(angle))
        yield _even(count, n, s * math.sin(angle), 0.0)
        rows = _whole(across / (s * math.sin(angle)))
        # Sheared to one side and back each row starts where the one below it ends.
        yield _along(count, rows, lambda n: (n + math.cos(angle)) * s)
    elif kind == "circle":
        n = _whole(across / s)
        m = n if across + _ROUNDING >= (n + 0.5) * s else n - 1
        yield _alternating(count, n, m, s, s * root / 2.0)
        yield _even(count, n, s, 0.0)


def _even(count: int, per_row: int, step: float, more: float) -> float:
    return math.inf if per_row < 1 else math.ceil(count / per_row) * step + more


def _along(count: int, rows: int, length: Callable[[int], float]) -> float:
    return math.inf if rows < 1 else float(length(math.ceil(count / rows)))


def _alternating(count: int, n: int, m: int, first: float, step: float) -> float:
    if n < 1:
        return math.inf
    rows, placed = 0, 0
    while placed < count:
        placed += m if rows % 2 else n
        rows += 1
        if m < 1 and placed < count:
            return math.inf
    return first + (rows - 1) * step


@dataclass(frozen=True)
class Measured:
    """One line of the table: shares of a sheet, and seconds of ours."""

    name: str
    hand: float
    nester: float
    ours: dict[str, float]
    seconds: dict[str, float]
    is_sound: bool


def measured(
    kind: str, size: float, count: int, efforts: list[str], steps: float, kept: Kept
) -> Measured:
    """Measure one case; what is kept is not measured again."""
    width, height = SHEET
    room = WorkArea.rectangle(0.0, 0.0, width * INCH, height * INCH)
    item = item_of(kind, size, count)
    name = f"{count} {kind} {size:g} in"
    outlines = {item.piece: item.outline}
    ours: dict[str, float] = {}
    seconds: dict[str, float] = {}
    is_sound = True
    for effort in efforts:
        if effort == "best" and (name, "best") in kept:
            ours[effort], seconds[effort] = kept[name, "best"], kept[name, "best s"]
            continue
        start = time.process_time()
        layout = lay_out([item], room, gap=0.0, effort=effort)
        seconds[effort] = time.process_time() - start
        ours[effort] = sum(layout.used[at].share * load.repeats
                           for at, load in enumerate(layout.loads))  # fmt: skip
        for load in layout.loads:
            is_sound = is_sound and not check_load(outlines, load, room, 0.0)
    nester = kept.get((name, "nester"), math.inf)
    if steps and nester == math.inf:
        nester = alone(item, room, steps)
    hand = by_hand(kind, size, count, width, height)
    return Measured(name, hand, nester, ours, seconds, is_sound)


def kept_from(table: Path) -> Kept:
    """Return the figures of a table made before: of the nester, and of `best`."""
    kept: Kept = {}
    head: list[str] = []
    for line in table.read_text().splitlines() if table.exists() else ():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if cells[0] == "case":
            head = cells
        elif head and len(cells) == len(head):
            for name in ("nester", "best", "best s"):
                if name in head and re.fullmatch(r"[0-9.]+", cells[head.index(name)]):
                    kept[cells[0], name] = float(cells[head.index(name)])
    return kept


def alone(item: Item, room: WorkArea, steps: float) -> float:
    """Return the least share of a sheet at which the nester alone lays all pieces."""
    best = math.inf
    for kinds, frame, back in frames([item], room, both=True):
        found = nested(
            kinds,
            {item.piece: item.quantity},
            frame,
            gap=0.0,
            failures=1000,
            seed=1,
            budget=Budget(steps, nester=installed()),
            enough=0.0,
        )
        if found is not None:
            placements = [back(each).placement for each in found]
            best = min(best, used_strip(placements, {item.piece: item.outline}, room).share)
    return best


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--efforts", default="quick,normal,best", help="with commas between")
    parser.add_argument("--steps", type=float, default=1000.0, help="of the nester for each side")
    parser.add_argument("--only", default="", help="cases whose kind holds this")
    parser.add_argument("--out", type=Path, help="the table's file")
    parser.add_argument("--keep", action="store_true", help="what the file has of the slow columns")
    asked = parser.parse_args()
    efforts = asked.efforts.split(",")
    kept = kept_from(asked.out) if asked.keep else {}
    rows: list[Measured] = []
    for kind, size, counts in CASES:
        for count in counts:
            if asked.only in kind:
                rows.append(measured(kind, size, count, efforts, asked.steps, kept))
                text = _table(rows, efforts, asked.steps)
                print(text.splitlines()[len(rows) + _LINES_ABOVE], flush=True)
                if asked.out:
                    # Case by case, so that what was measured is kept when it is stopped.
                    asked.out.write_text(text)


_ABOVE = """\
# Part-filled loads

Made by `python -m tests.benchmarks.part_loads --out tests/benchmarks/PART_LOADS.md`: pieces of one
kind on a 12 by 18 in sheet, gap 0. Shares of the sheet used: by rows worked by hand, by the nester
alone with {steps:g} of its own steps for each side, and by ours; seconds of processor time, without
those of the nester's process, which `best` asks for up to a minute. A dash stands for what was not
measured.

"""
_LINES_ABOVE = _ABOVE.count("\n") + 1


def _table(rows: list[Measured], efforts: list[str], steps: float) -> str:
    head = ["case", "by hand", "nester", *efforts, *(f"{each} s" for each in efforts), "notes"]
    lines = [f"| {' | '.join(head)} |", f"|{' --- |' * len(head)}"]
    lines += [_line(row, efforts) for row in rows]
    beside = sum(row.nester < math.inf for row in rows)
    below = []
    for effort in efforts:
        found = [row for row in rows if math.isfinite(row.ours[effort])]
        less = sum(row.ours[effort] < min(row.hand, row.nester) - _SHOWN for row in found)
        more = ", ".join(row.name for row in found if _takes_more(row, effort)) or "nowhere"
        if found:
            below.append(
                f"`{effort}`, {len(found)} loads: less material than rows by hand and the nester "
                f"alone in {less}; more: {more}."
            )
    summary = f"{len(rows)} loads, {beside} of them beside the nester. {' '.join(below)}"
    return "\n".join(
        (_ABOVE.format(steps=steps).rstrip("\n"), "", *lines, "", textwrap.fill(summary, 99), "")
    )


def _takes_more(row: Measured, effort: str) -> bool:
    return math.inf > row.ours[effort] > min(row.hand, row.nester) + _SHOWN


def _line(row: Measured, efforts: list[str]) -> str:
    notes = [f"{each} takes more" for each in efforts if _takes_more(row, each)]
    notes += [] if row.is_sound else ["NOT SOUND"]
    cells = [row.name, f"{row.hand:.4f}", _cell(row.nester, 4)]
    cells += [_cell(row.ours[each], 4) for each in efforts]
    cells += [*(_cell(row.seconds[each], 2) for each in efforts), "; ".join(notes)]
    return f"| {' | '.join(cells)} |"


def _cell(value: float, digits: int) -> str:
    return f"{value:.{digits}f}" if math.isfinite(value) else "-"


if __name__ == "__main__":
    main()
