"""Part-filled loads beside rows worked by hand and beside the nester alone: one table.

    python -m tests.benchmarks.part_loads --out tests/benchmarks/PART_LOADS.md
    python -m tests.benchmarks.part_loads --efforts quick --steps 0

With ``--keep`` the figures of the nester and of ``best`` that the file already holds are kept, and
with ``--soon`` too no others are measured in these columns.
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
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from geometry.layout import Item
from geometry.layout.effort import Budget
from geometry.layout.nesting.nester import nested
from geometry.layout.nesting.nester_search import frames
from geometry.layout.objective import used_strip
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.units import MM_PER_INCH as INCH
from service.sandbox.nester import installed
from tests.benchmarks.part_load_cases import CASES, MIXED, SHEET, Kind, by_hand, item_of
from tests.layouts import lay_out

#: Of whole numbers, and half of the last digit that the table shows.
_ROUNDING, _SHOWN = 1e-6, 5e-5
#: Figures of a table made before, by the case and the column.
Kept = dict[tuple[str, str], float]


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
    kinds: Sequence[Kind], efforts: list[str], steps: float, kept: Kept, *, soon: bool
) -> Measured:
    """Measure one case; what is kept is not measured again, and ``soon`` nothing slow is."""
    width, height = SHEET
    room = WorkArea.rectangle(0.0, 0.0, width * INCH, height * INCH)
    items = [item_of(*kind) for kind in kinds]
    name = ", ".join(f"{count} {kind} {size:g} in" for kind, size, count in kinds)
    outlines = {item.piece: item.outline for item in items}
    ours: dict[str, float] = {}
    seconds: dict[str, float] = {}
    is_sound = True
    for effort in efforts:
        if effort == "best" and (name, "best") in kept:
            ours[effort], seconds[effort] = kept[name, "best"], kept[name, "best s"]
            continue
        if effort == "best" and soon:
            ours[effort] = seconds[effort] = math.inf
            continue
        start = time.process_time()
        layout = lay_out(items, room, gap=0.0, effort=effort)
        seconds[effort] = time.process_time() - start
        ours[effort] = sum(layout.used[at].share * load.repeats
                           for at, load in enumerate(layout.loads))  # fmt: skip
        for load in layout.loads:
            is_sound = is_sound and not check_load(outlines, load, room, 0.0)
    nester = kept.get((name, "nester"), math.inf)
    if steps and nester == math.inf and not soon:
        nester = alone(items, room, steps)
    hand = by_hand(kinds, width, height)
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


def alone(items: Sequence[Item], room: WorkArea, steps: float) -> float:
    """Return the least share of a sheet at which the nester alone lays all pieces."""
    best = math.inf
    outlines = {item.piece: item.outline for item in items}
    for kinds, frame, back in frames(items, room, both=True):
        found = nested(
            kinds,
            {item.piece: item.quantity for item in items},
            frame,
            gap=0.0,
            failures=1000,
            seed=1,
            budget=Budget(steps, nester=installed()),
            enough=0.0,
        )
        if found is not None:
            placements = [back(each).placement for each in found]
            best = min(best, used_strip(placements, outlines, room).share)
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
    parser.add_argument("--soon", action="store_true", help="measure nothing in these columns")
    asked = parser.parse_args()
    efforts = asked.efforts.split(",")
    kept = kept_from(asked.out) if asked.keep else {}
    cases = [((kind, size, count),) for kind, size, counts in CASES for count in counts]
    rows: list[Measured] = []
    for kinds in (*cases, *MIXED):
        if any(asked.only in kind for kind, _, _ in kinds):
            rows.append(measured(kinds, efforts, asked.steps, kept, soon=asked.soon))
            text = _table(rows, efforts, asked.steps)
            print(text.splitlines()[len(rows) + _LINES_ABOVE], flush=True)
            if asked.out:
                # Case by case, so that what was measured is kept when it is stopped.
                asked.out.write_text(text)


_ABOVE = """\
# Part-filled loads

Made by `python -m tests.benchmarks.part_loads --out tests/benchmarks/PART_LOADS.md`: pieces of one
kind, then of several, on a 12 by 18 in sheet, gap 0; a rectangle is half as wide as it is long.
Shares of the sheet used: by rows worked by hand, by the nester alone with {steps:g} of its own
steps for each side, and by ours; seconds of processor time, without those of the nester's process,
which `best` asks for up to a minute, `normal` of several kinds for some seconds. A dash stands for
what was not measured.

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
